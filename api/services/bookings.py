"""Bookings: kept until there is a place, read, changed and called off."""

from __future__ import annotations

from datetime import date

from api.clock import Clock
from api.services.asking import below, local_request
from api.services.errors import AlreadyThereError, NotFoundError, UnprocessableError
from api.services.opening_hours import whole_days
from api.services.openings import Openings
from api.services.ports import Store, UnitOfWork, Versioned
from api.services.promising import amended
from api.services.rearranging import Rearranging
from api.services.salon import salon_of
from api.services.selling import Selling, require_new
from api.services.short_solves import ShortSolves
from api.services.versions import Expectation
from schemas.booking import BookingStatus, Request
from schemas.dealings import BookingChange, BookingRecord, NewBooking
from solver.errors import Fault


class Bookings:
    def __init__(self, store: Store, clock: Clock, openings: Openings, solves: ShortSolves) -> None:
        self.store = store
        self.clock = clock
        self.openings = openings
        self.selling = Selling(store, clock, openings)
        self.rearranging = Rearranging(self.selling, solves)

    async def page(
        self, day: date | None, status: BookingStatus | None, after: str | None, limit: int
    ) -> tuple[tuple[BookingRecord, ...], str | None]:
        """Bookings that touch a day, or all, in order of their names."""
        async with self.store.reading() as unit:
            window = None
            if day is not None:
                window = whole_days(day, day, (await salon_of(unit)).zone)
            found = await unit.bookings.page(
                window=window, status=status, after=after, limit=limit + 1
            )
        return found[:limit], found[limit - 1].id if len(found) > limit else None

    async def read(self, name: str) -> Versioned[BookingRecord]:
        async with self.store.reading() as unit:
            return await _there(unit, name)

    async def create(self, new: NewBooking) -> Versioned[BookingRecord]:
        """Keep a request; with a place it is promised at once, without one it waits for a plan.

        Raises OpeningGoneError with fresh openings where the place cannot be had,
        AlreadyThereError where the name is taken, UnprocessableError with pointers into `new`.
        """
        if new.opening is not None:
            return await self.selling.sell(new.request, new.opening)
        if new.day is not None and new.own_visit is not None:
            return await self.rearranging.sell(new.request, new.day, new.own_visit)
        return await self._keep(new.request)

    async def change(
        self, name: str, change: BookingChange, seen: Expectation
    ) -> Versioned[BookingRecord]:
        """Change what is said of a booking, or move it to another opening."""
        if change.opening is not None:
            return await self.selling.move(name, change, change.opening, seen)
        async with self.store.writing() as unit:
            there = await _there(unit, name)
            seen.require(there.version)
            record = amended(there.document, change, self.clock.now())
            request = local_request(record.request, (await salon_of(unit)).zone)
            record = record.model_copy(update={"request": request})
            return Versioned(record, await unit.bookings.put(record))

    async def cancel(self, name: str, seen: Expectation) -> Versioned[BookingRecord]:
        """Call it off: all it takes of the salon is free again. Doing it twice changes nothing."""
        async with self.store.writing() as unit:
            there = await _there(unit, name)
            seen.require(there.version)
            if there.document.status is BookingStatus.CANCELLED:
                return there
            await unit.breaks.clear_inside(name)
            await unit.holds.remove(name)
            await unit.bookings.free((name,))
            gone = there.document.model_copy(
                update={
                    "status": BookingStatus.CANCELLED,
                    "placed": None,
                    "freed": there.document.placed,
                    "changed_at": self.clock.now(),
                }
            )
            return Versioned(gone, await unit.bookings.put(gone))

    async def _keep(self, asked: Request) -> Versioned[BookingRecord]:
        try:
            snapshot, request = await self.openings.prepare(asked)
        except UnprocessableError as wrong:
            raise below("/request", wrong) from wrong
        if not snapshot.any_day_book().open:
            raise UnprocessableError(
                Fault("/request/windows", "the salon is closed on all of these days")
            )
        now = self.clock.now()
        record = BookingRecord(
            id=request.id,
            status=BookingStatus.TENTATIVE,
            request=request,
            take_off=asked.take_off,
            created_at=now,
            changed_at=now,
        )
        try:
            async with self.store.writing() as unit:
                await require_new(unit, record.id)
                await unit.bookings.add(record)
        except AlreadyThereError as taken:
            raise AlreadyThereError(f"there is a booking {record.id} already") from taken
        return Versioned(record, 1)


async def _there(unit: UnitOfWork, name: str) -> Versioned[BookingRecord]:
    found = await unit.bookings.get(name)
    if found is None:
        raise NotFoundError("booking", name)
    return found
