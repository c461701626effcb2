"""Places for a request that others make room for, day by day; and one of them sold.

A day is sold as it was shown: its plan comes back with the booking, is judged by the checker
against the book as it is by then, and is written in one transaction. Nobody's place is held
meanwhile, since that would move others for somebody who has not made up her mind.
"""

from __future__ import annotations

import asyncio
from datetime import datetime, timedelta
from functools import partial

from api.services.asking import (
    below,
    local_request,
    reckoned,
    require_known,
    require_sound,
    upcoming,
    whole_minute,
)
from api.services.day_books import Snapshot, read_snapshot
from api.services.errors import ConflictError, DoubleBookedError, NotSetUpError, UnprocessableError
from api.services.opening_hours import local_day
from api.services.ports import UnitOfWork, Versioned
from api.services.promising import objections_to, promised, require_nothing_held, take
from api.services.salon import salon_of
from api.services.selling import Selling, again, require_new, require_unchanged
from api.services.short_solves import ShortSolves
from schemas.booking import Request
from schemas.dealings import BookingRecord
from schemas.openings import OpeningsQuestion
from schemas.plan import Plan, PlannedVisit
from schemas.rearranging import RearrangedDay, RearrangingAnswer, RearrangingQuestion, Room
from solver.cross_check import cross_check
from solver.errors import Fault, InputError
from solver.model.progress import OnProgress, Stop
from solver.openings import BookIndex, rearranged_days
from solver.openings.blocks import Block, blocks_of

AROUND = timedelta(days=7)
"""Rules on weeks and on rest between days look this far from the day that is sold."""


class Rearranging:
    def __init__(self, selling: Selling, solves: ShortSolves) -> None:
        self.selling = selling
        self.solves = solves

    async def days(self, question: RearrangingQuestion) -> RearrangingAnswer:
        """The days that suit her, from the first that has not begun, each in its time.

        Given up within a fraction of a second once nobody waits for the answer. Raises
        UnprocessableError with pointers into the question, ConflictError where the book is at
        fault, StoreUnavailableError where too many ask at once.
        """
        try:
            snapshot, request = await self.selling.openings.prepare(question.request)
            if snapshot.has_place(request.id):
                detail = f"{request.id} has a place already: change the booking"
                raise UnprocessableError(Fault("/id", detail))
            await asyncio.to_thread(require_sound, request, snapshot)
        except UnprocessableError as wrong:
            raise below("/request", wrong) from wrong
        now = self.selling.clock.now()
        asked = question.model_copy(update={"request": request})
        found = await self.solves.ask(partial(_days, snapshot, asked, now))
        return RearrangingAnswer(request=request.id, days=found)

    async def sell(
        self, asked: Request, day: Plan, visit: PlannedVisit
    ) -> Versioned[BookingRecord]:
        """Promise her `visit`, and put everybody else of that day where `day` says.

        Raises OpeningGoneError with fresh openings where it cannot be had so, ConflictError while
        a place of that day is held, AlreadyThereError where the name is taken.
        """
        return await again(lambda: self._sell(asked, day, visit))

    async def _sell(
        self, asked: Request, day: Plan, visit: PlannedVisit
    ) -> Versioned[BookingRecord]:
        async with self.selling.store.reading() as unit:
            zone = (await salon_of(unit)).zone
            await require_new(unit, asked.id)
            on = local_day(visit.window.start, zone)
            snapshot = await read_snapshot(unit, on - AROUND, on + AROUND)
        request = local_request(asked, zone)
        try:
            require_known(request, snapshot)
            request = await asyncio.to_thread(reckoned, request, snapshot)
        except UnprocessableError as wrong:
            raise below("/request", wrong) from wrong
        now = self.selling.clock.now()
        block = _block_of(snapshot, visit)
        why = "the salon is closed then"
        if block is not None:
            require_nothing_held(snapshot, block.reach)
            why = await asyncio.to_thread(_objection, snapshot, block, request, day, now)
        if why or block is None:
            await self.selling.refuse(request, why)
        record = promised(
            request,
            visit,
            take_off=asked.take_off,
            created_at=now,
            now=now,
            latest_finish=visit.window.end,
        )
        try:
            async with self.selling.store.writing() as unit:
                require_unchanged(unit, snapshot)
                await _write(unit, snapshot, block, day, record)
        except DoubleBookedError:
            await self.selling.refuse(request, "a place of that day is taken")
        return Versioned(record, 1)


def _days(
    snapshot: Snapshot, question: RearrangingQuestion, now: datetime, stop: Stop, _: OnProgress
) -> tuple[RearrangedDay, ...]:
    """Runs for as long as the question gives it. Its index is its own: others ask theirs meanwhile.

    The rest of a day that has begun is for repairs.
    """
    try:
        book = snapshot.day_book()
    except NotSetUpError:
        return ()  # nobody is in on these days
    try:
        cross_check(book.model_copy(update={"bookings": (), "breaks": ()}))
        index = BookIndex.of(book)
    except InputError as wrong:
        raise ConflictError(f"the salon's own book is at fault: {wrong}") from wrong
    begun = (block.reach.end for block in index.blocks if block.reach.start < now)
    try:
        request = upcoming(question.request, max(begun, default=now), "/request/windows")
    except UnprocessableError:
        return ()
    asked = OpeningsQuestion(request=request, wish=question.wish)
    days = rearranged_days(
        book, asked, index=index, seconds=question.seconds, stop=stop, seed=question.seed
    )
    found: list[RearrangedDay] = []
    for day in days:
        found.append(day)
        if len(found) == question.days or sum(map(_has_room, found)) == question.enough:
            break
    return tuple(found)


def _has_room(day: RearrangedDay) -> bool:
    return day.room in {Room.AS_BOOKED, Room.WITH_REARRANGING}


def _block_of(snapshot: Snapshot, visit: PlannedVisit) -> Block | None:
    try:
        blocks = blocks_of(snapshot.day_book())
    except NotSetUpError:
        return None
    return next((each for each in blocks if each.touches(visit.window)), None)


def _objection(snapshot: Snapshot, block: Block, request: Request, day: Plan, now: datetime) -> str:
    """Why the day cannot be as `day` says; empty where it can.

    The plan may come from anywhere: it is judged by the same checker as any other.
    """
    if block.reach.start < whole_minute(now):
        return "the day has begun"
    here = {visit.visit for visit in snapshot.plan.visits if block.touches(visit.window)}
    if here | {request.id} != {visit.visit for visit in day.visits}:
        return "those who come on that day are not those it was arranged for"
    windows = [*(each.window for each in day.visits), *(each.window for each in day.breaks)]
    if not all(map(block.touches, windows)):
        return "it moves somebody to another day"
    before = snapshot.plan
    away = tuple(each for each in before.visits if not block.touches(each.window))
    rests = tuple(each for each in before.breaks if not block.touches(each.window))
    after = Plan(visits=(*away, *day.visits), breaks=(*rests, *day.breaks))
    return next(iter(objections_to(snapshot, request, after)), "")


async def _write(
    unit: UnitOfWork, snapshot: Snapshot, block: Block, day: Plan, record: BookingRecord
) -> None:
    """Free everybody of the day, then give everybody the place of the plan: chairs may be swapped.

    Whose place is another one has it changed; promises stay as they are.
    """
    known = {each.id: each for each in snapshot.placed}
    others = [visit for visit in day.visits if visit.visit != record.id]
    await unit.breaks.clear(block.reach)
    await unit.bookings.free(visit.visit for visit in others)
    for visit in others:
        old = known[visit.visit]
        if old.placed != visit:
            changes = {"placed": visit, "changed_at": record.changed_at}
            await unit.bookings.put(old.model_copy(update=changes))
    await unit.bookings.add(record)
    for visit in day.visits:
        await take(unit, visit, day.breaks)
    await unit.breaks.add(day.breaks)
