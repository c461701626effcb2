"""Why a request finds no place in the book on record, and what would make room."""

from __future__ import annotations

import asyncio
from datetime import datetime, timedelta
from functools import partial

from api.clock import Clock
from api.services.asking import (
    below,
    local_request,
    reckoned,
    require_bounded,
    require_known,
    require_sound,
    upcoming,
)
from api.services.day_books import Snapshot, days_of, read_snapshot
from api.services.errors import UnprocessableError
from api.services.opening_hours import local_day
from api.services.ports import Store, UnitOfWork
from api.services.salon import salon_of
from api.services.short_solves import ShortSolves
from schemas.booking import BookingStatus, Request
from schemas.daybook import DayBook
from schemas.explanations import Explanation, ProvedChange, WhyNotQuestion
from solver.errors import Fault
from solver.explain import why_not
from solver.model.progress import OnProgress, Stop


class Reasons:
    """Changes nothing: a change that would help is told, not made."""

    def __init__(self, store: Store, clock: Clock, solves: ShortSolves) -> None:
        self.store = store
        self.clock = clock
        self.solves = solves

    async def why_not(self, question: WhyNotQuestion) -> Explanation:
        """Raises UnprocessableError with pointers into the question."""
        now = self.clock.now()
        place = "/request" if question.request is not None else "/waiting"
        async with self.store.reading() as unit:
            asked = question.request or await _waiting(unit, str(question.waiting))
            try:
                snapshot, request = await self._prepared(unit, asked, question.around, now)
            except UnprocessableError as wrong:
                raise _told_at(place, wrong) from wrong
        if snapshot.has_place(request.id):
            raise UnprocessableError(Fault(f"{place}/id", f"{request.id} has a place already"))
        try:
            book = await asyncio.to_thread(_sound, snapshot, request)
        except UnprocessableError as wrong:
            raise _told_at(place, wrong) from wrong
        answer = await self.solves.ask(partial(_why_not, book, request.id, question))
        still = tuple(each for each in answer.changes if _lies_ahead(each, snapshot, now))
        return answer.model_copy(update={"changes": still})

    async def _prepared(
        self, unit: UnitOfWork, asked: Request, around: int, now: datetime
    ) -> tuple[Snapshot, Request]:
        """The book of her days and of those around, from today on, and the request reckoned."""
        zone = (await salon_of(unit)).zone
        request = upcoming(local_request(asked, zone), now, "/windows")
        first, last = days_of(request, zone)
        require_bounded(first, last, "/windows")
        more = timedelta(days=around)
        snapshot = await read_snapshot(unit, max(local_day(now, zone), first - more), last + more)
        require_known(request, snapshot)
        return snapshot, await asyncio.to_thread(reckoned, request, snapshot)


def _why_not(
    book: DayBook, name: str, question: WhyNotQuestion, stop: Stop, _: OnProgress
) -> Explanation:
    return why_not(book, name, seconds=question.seconds, seed=question.seed, stop=stop)


def _sound(snapshot: Snapshot, request: Request) -> DayBook:
    require_sound(request, snapshot)
    return snapshot.sound_day_book((request,))


async def _waiting(unit: UnitOfWork, name: str) -> Request:
    """The request of a booking that waits. Raises UnprocessableError where it does not."""
    found = await unit.bookings.get(name)
    if found is None:
        raise UnprocessableError(Fault("/waiting", f"there is no booking {name}"))
    if found.document.status is not BookingStatus.TENTATIVE:
        raise UnprocessableError(Fault("/waiting", f"{name} does not wait for a place"))
    return found.document.request


def _told_at(place: str, wrong: UnprocessableError) -> UnprocessableError:
    """Faults of a request, by where it lies in the question; of one on record, by its name."""
    if place == "/request":
        return below(place, wrong)
    return UnprocessableError(*(Fault(place, fault.detail) for fault in wrong.faults))


def _lies_ahead(change: ProvedChange, snapshot: Snapshot, now: datetime) -> bool:
    """Whether the change can still be made: nobody comes, or moves, in the past."""
    moved = [
        record.placed.window.start
        for record in snapshot.placed
        if record.id == change.visit and record.placed is not None
    ]
    return all(start >= now for start in (change.placed.window.start, *moved))
