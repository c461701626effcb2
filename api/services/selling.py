"""Selling an opening: the check, the write, and what is told to whoever came second.

An opening is checked against the book at one revision and written only if the book is still at that
revision; if it moved in between, the check is done again. The database has the last word.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import NoReturn, TypeVar

from api.clock import Clock
from api.services.asking import below, local_request, reckoned, require_known
from api.services.day_books import Snapshot, read_snapshot
from api.services.errors import (
    AlreadyThereError,
    BookChangedError,
    ConflictError,
    DoubleBookedError,
    NotFoundError,
    OpeningGoneError,
    StaleError,
    UnprocessableError,
)
from api.services.opening_hours import local_day
from api.services.openings import Openings
from api.services.ports import Store, UnitOfWork, Versioned
from api.services.promising import amended, objections, place, promised
from api.services.salon import salon_of
from api.services.versions import Expectation
from schemas.booking import Request
from schemas.dealings import BookingChange, BookingRecord
from schemas.openings import Opening, OpeningsQuestion
from solver.errors import Fault

ATTEMPTS = 6
"""Checks of one opening. Each one in vain means that another booking was made meanwhile."""
T = TypeVar("T")


class Selling:
    def __init__(self, store: Store, clock: Clock, openings: Openings) -> None:
        self.store = store
        self.clock = clock
        self.openings = openings

    async def sell(self, asked: Request, opening: Opening) -> Versioned[BookingRecord]:
        """Promise the opening. Raises OpeningGoneError with fresh ones where it cannot be had."""
        return await again(lambda: self._sell(asked, opening))

    async def move(
        self, name: str, change: BookingChange, opening: Opening, seen: Expectation
    ) -> Versioned[BookingRecord]:
        """Give up the booking's place and take the opening, or neither."""
        return await again(lambda: self._move(name, change, opening, seen))

    async def _sell(self, asked: Request, opening: Opening) -> Versioned[BookingRecord]:
        snapshot = await self.day_of(opening, new=asked.id)
        request = local_request(asked, snapshot.salon.zone)
        try:
            require_known(request, snapshot)
            request = await asyncio.to_thread(reckoned, request, snapshot)
        except UnprocessableError as wrong:
            raise below("/request", wrong) from wrong
        await self.require_holds(snapshot, request, opening)
        now = self.clock.now()
        record = promised(
            request,
            opening.visit,
            take_off=asked.take_off,
            created_at=now,
            now=now,
            latest_finish=opening.visit.window.end,
        )
        try:
            async with self.store.writing() as unit:
                require_unchanged(unit, snapshot)
                await unit.bookings.add(record)
                await place(unit, snapshot, opening)
        except DoubleBookedError:
            await self.refuse(request, "it is taken")
        return Versioned(record, 1)

    async def _move(
        self, name: str, change: BookingChange, opening: Opening, seen: Expectation
    ) -> Versioned[BookingRecord]:
        if opening.visit.visit != name:
            raise UnprocessableError(Fault("/opening/visit/visit", f"must be {name}"))
        async with self.store.reading() as unit:
            found = await unit.bookings.get(name)
        if found is None:
            raise NotFoundError("booking", name)
        seen.require(found.version)
        now = self.clock.now()
        old = found.document
        told = change.model_copy(update={"tolerance": None, "latest_finish": None})
        request = amended(old, told, now).request
        snapshot = (await self.day_of(opening)).without((name,))
        request = local_request(request, snapshot.salon.zone)
        await self.require_holds(snapshot, request, opening)
        record = promised(
            request,
            opening.visit,
            take_off=old.take_off,
            created_at=old.created_at,
            now=now,
            latest_finish=opening.visit.window.end,
        )
        record = amended(record, change.model_copy(update={"windows": None}), now)
        try:
            async with self.store.writing() as unit:
                require_unchanged(unit, snapshot)
                there = await unit.bookings.get(name)
                if there is None or there.version != found.version:
                    raise StaleError("it has been changed since you read it: read it again")
                await unit.breaks.clear_inside(name)
                await unit.holds.remove(name)
                await unit.bookings.free((name,))
                version = await unit.bookings.put(record)
                await place(unit, snapshot, opening)
        except DoubleBookedError:
            await self.refuse(request, "it is taken")
        return Versioned(record, version)

    async def day_of(self, opening: Opening, new: str | None = None) -> Snapshot:
        """The book of the opening's day. Raises AlreadyThereError where `new` is a booking."""
        async with self.store.reading() as unit:
            day = local_day(opening.visit.window.start, (await salon_of(unit)).zone)
            if new is not None:
                await require_new(unit, new)
            return await read_snapshot(unit, day, day)

    async def require_holds(self, snapshot: Snapshot, request: Request, opening: Opening) -> None:
        why = await asyncio.to_thread(objections, snapshot, request, opening)
        if why:
            await self.refuse(request, why[0])

    async def refuse(self, request: Request, why: str) -> NoReturn:
        """Raises OpeningGoneError with what else there is in the windows of the request."""
        fresh: tuple[Opening, ...] = ()
        try:
            snapshot, asked = await self.openings.prepare(request)
            rest = snapshot.without((request.id,))
            answer = await self.openings.find_in(rest, OpeningsQuestion(request=asked))
            fresh = answer.openings
        except (ConflictError, UnprocessableError):
            fresh = ()  # Nothing can be offered instead; the refusal stands by itself.
        raise OpeningGoneError(f"the opening cannot be had: {why}", fresh)


def require_unchanged(unit: UnitOfWork, snapshot: Snapshot) -> None:
    if unit.revision != snapshot.revision:
        raise BookChangedError("the book has changed meanwhile")


async def require_new(unit: UnitOfWork, name: str) -> None:
    """Raises AlreadyThereError where a booking or a hold has that name."""
    if await unit.bookings.get(name) is not None:
        raise AlreadyThereError(f"there is a booking {name} already")
    if await unit.holds.get(name) is not None:
        raise AlreadyThereError(f"{name} holds a place: book that, or let it go first")


async def again(attempt: Callable[[], Awaitable[T]]) -> T:
    for _ in range(ATTEMPTS - 1):
        try:
            return await attempt()
        except BookChangedError:
            continue
    return await attempt()
