"""Several openings sold in one transaction: all of them or none.

For people who come together and for a series. Each opening is checked with those before it in the
book, as it was found; nothing is written unless all of them hold and the book has not changed.
"""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, replace
from datetime import date

from api.services.asking import local_request, reckoned, require_known, told_below
from api.services.day_books import Snapshot, read_snapshot
from api.services.errors import DoubleBookedError
from api.services.opening_hours import local_day
from api.services.ports import Store
from api.services.promising import breaks_with, objections, place, promised
from api.services.salon import salon_of
from api.services.selling import Selling, again, require_new, require_unchanged
from schemas.booking import Request
from schemas.dealings import BookingRecord, NewBooking
from schemas.openings import Opening
from schemas.together import BookingSet, BookingSetRecord


@dataclass(frozen=True)
class _Sale:
    """One opening that holds, and the book of its day before it."""

    record: BookingRecord
    opening: Opening
    snapshot: Snapshot


class SellingSets:
    def __init__(self, store: Store, selling: Selling) -> None:
        self.store = store
        self.selling = selling

    async def sell(self, new: BookingSet) -> BookingSetRecord:
        """Promise all of them. Raises OpeningGoneError with fresh openings of the first that cannot
        be had, AlreadyThereError where a name is taken, UnprocessableError with pointers.
        """
        return await again(lambda: self._sell(new))

    async def _sell(self, new: BookingSet) -> BookingSetRecord:
        books = await self._books(new)
        sales: list[_Sale] = []
        for number, each in enumerate(new.bookings):
            with told_below(f"/bookings/{number}/request"):
                sale = await self._checked(each, books)
            sales.append(sale)
        try:
            async with self.store.writing() as unit:
                require_unchanged(unit, sales[0].snapshot)
                for sale in sales:
                    await unit.bookings.add(sale.record)
                    await place(unit, sale.snapshot, sale.opening)
        except DoubleBookedError:
            await self.selling.refuse(sales[0].record.request, "one of the places is taken")
        return BookingSetRecord(bookings=tuple(sale.record for sale in sales))

    async def _books(self, new: BookingSet) -> dict[date, Snapshot]:
        """The book of every day of the set, at one revision."""
        books: dict[date, Snapshot] = {}
        async with self.store.reading() as unit:
            zone = (await salon_of(unit)).zone
            for each in new.bookings:
                await require_new(unit, each.request.id)
                day = local_day(_opening(each).visit.window.start, zone)
                if day not in books:
                    books[day] = await read_snapshot(unit, day, day)
        return books

    async def _checked(self, new: NewBooking, books: dict[date, Snapshot]) -> _Sale:
        """The sale of one opening; its day's book then holds it."""
        opening = _opening(new)
        zone = next(iter(books.values())).salon.zone
        day = local_day(opening.visit.window.start, zone)
        snapshot = books[day]
        request = local_request(new.request, zone)
        require_known(request, snapshot)
        request = await asyncio.to_thread(reckoned, request, snapshot)
        why = await asyncio.to_thread(objections, snapshot, request, opening)
        if why:
            await self.selling.refuse(request, f"{request.id}: {why[0]}")
        record = _record(request, new, self.selling)
        books[day] = replace(
            snapshot,
            placed=(*snapshot.placed, record),
            breaks=breaks_with(snapshot, opening),
        )
        return _Sale(record, opening, snapshot)


def _opening(new: NewBooking) -> Opening:
    assert new.opening is not None, "a set states its openings"
    return new.opening


def _record(request: Request, new: NewBooking, selling: Selling) -> BookingRecord:
    now, visit = selling.clock.now(), _opening(new).visit
    return promised(
        request,
        visit,
        take_off=new.request.take_off,
        created_at=now,
        now=now,
        latest_finish=visit.window.end,
    )
