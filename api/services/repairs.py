"""Repairs of a running day on the book: looked at, then accepted in one transaction, or not.

A repair is made from the book at one revision and is accepted only while that is the newest. What
is kept of it is exactly what was shown, so that the desk can call people before it accepts.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from uuid import uuid4

from api.clock import Clock
from api.services.accepting import accept
from api.services.asking import (
    below,
    in_local_time,
    local_request,
    reckoned,
    require_known,
    require_sound,
    upcoming,
    whole_minute,
)
from api.services.day_books import Snapshot, read_snapshot
from api.services.errors import (
    AlreadyThereError,
    BookChangedError,
    ConflictError,
    NotFoundError,
    UnprocessableError,
)
from api.services.opening_hours import local_day
from api.services.ports import Store, UnitOfWork
from api.services.promising import require_nothing_held
from api.services.salon import salon_of
from api.services.selling import require_new
from api.services.short_solves import ShortSolves
from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.repair import Event, RepairResult, WalkIn
from schemas.runs import RepairOrder, RepairRecord, RepairRun, RepairState
from solver.errors import Fault, InputError
from solver.model.progress import Stop
from solver.openings.breaks import complete_breaks
from solver.plan import PlanRejected
from solver.repair import repair

_log = logging.getLogger("partline.repairs")
LONGEST_SPAN_DAYS = 7


@dataclass(frozen=True)
class _Facts:
    """The book as it was when the repair was ordered."""

    snapshot: Snapshot
    book: DayBook
    plan: Plan
    events: tuple[Event, ...]
    now: datetime


class Repairs:
    def __init__(self, store: Store, clock: Clock, solves: ShortSolves) -> None:
        self.store = store
        self.clock = clock
        self.solves = solves

    async def make(self, order: RepairOrder) -> RepairRun:
        """The repaired days; in the book already where that was ordered and every promise holds.

        Raises UnprocessableError with pointers into the order; BookChangedError where it was to be
        accepted and the book changed meanwhile.
        """
        facts = await self._facts(order)
        result = await self.solves.ask(lambda stop: _repaired(facts, order, stop))
        record = _record(order, facts, result, self.clock.now())
        async with self.store.writing() as unit:
            if order.accept and result.plan is not None and not result.renegotiate:
                record = await self._accepted(unit, record)
            await unit.repairs.put(record)
        return record.run

    async def read(self, name: str) -> RepairRun:
        async with self.store.reading() as unit:
            return (await _kept(unit, name)).run

    async def accept(self, name: str) -> RepairRun:
        """Write it into the book: what it proposes to clients is promised then.

        Doing it twice changes nothing. Raises BookChangedError where the book is not the one it
        was made from any more, ConflictError where there is no plan.
        """
        async with self.store.writing() as unit:
            record = await _kept(unit, name)
            if record.run.state is RepairState.ACCEPTED:
                return record.run
            record = await self._accepted(unit, record)
            await unit.repairs.put(record)
        return record.run

    async def _accepted(self, unit: UnitOfWork, record: RepairRecord) -> RepairRecord:
        run = record.run
        if run.plan is None:
            raise ConflictError("there is no repaired plan to accept")
        if unit.revision != run.book_revision:
            raise BookChangedError("the book has changed since the repair was made: make another")
        first, last = await _days(unit, run.order, run.now)
        snapshot = await read_snapshot(unit, first, last)
        require_nothing_held(snapshot)
        await accept(unit, snapshot, record, self.clock.now())
        return record.model_copy(
            update={"run": run.model_copy(update={"state": RepairState.ACCEPTED})}
        )

    async def _facts(self, order: RepairOrder) -> _Facts:
        now = whole_minute(self.clock.now())
        await self.store.let_go()
        async with self.store.reading() as unit:
            first, last = await _days(unit, order, now)
            snapshot = await read_snapshot(unit, first, last)
            for index, event in enumerate(order.events):
                if isinstance(event, WalkIn):
                    await _require_new(unit, event.request.id, f"/events/{index}/request/id")
        return await asyncio.to_thread(_stated, snapshot, order, now)


async def _kept(unit: UnitOfWork, name: str) -> RepairRecord:
    found = await unit.repairs.get(name)
    if found is None:
        raise NotFoundError("repair", name)
    return found.document


async def _days(unit: UnitOfWork, order: RepairOrder, now: datetime) -> tuple[date, date]:
    today = local_day(now, (await salon_of(unit)).zone)
    last = order.last or today
    if last < today:
        raise UnprocessableError(Fault("/last", f"must not be before today, {today}"))
    if (last - today).days >= LONGEST_SPAN_DAYS:
        raise UnprocessableError(
            Fault("/last", f"at most {LONGEST_SPAN_DAYS} days are looked at, from {today} on")
        )
    return today, last


async def _require_new(unit: UnitOfWork, name: str, pointer: str) -> None:
    try:
        await require_new(unit, name)
    except AlreadyThereError as taken:
        raise UnprocessableError(Fault(pointer, str(taken))) from taken


def _stated(snapshot: Snapshot, order: RepairOrder, now: datetime) -> _Facts:
    """The day book, its plan with every break that is owed, and the events in the salon's time."""
    book = snapshot.sound_day_book()
    plan = snapshot.plan
    whole = plan.model_copy(update={"breaks": complete_breaks(book, plan)})
    events = tuple(_local_events(snapshot, order, now))
    return _Facts(snapshot, book, whole, events, in_local_time(now, snapshot.salon.zone))


def _local_events(snapshot: Snapshot, order: RepairOrder, now: datetime) -> Iterator[Event]:
    zone = snapshot.salon.zone
    for index, event in enumerate(order.events):
        if isinstance(event, WalkIn):
            try:
                asked = upcoming(local_request(event.request, zone), now, "/windows")
                require_known(asked, snapshot)
                request = reckoned(asked, snapshot)
                require_sound(request, snapshot)
            except UnprocessableError as wrong:
                raise below(f"/events/{index}/request", wrong) from wrong
            yield event.model_copy(update={"request": request})
            continue
        times = {
            name: in_local_time(value, zone)
            for name in ("arrives", "start", "until")
            if (value := getattr(event, name, None)) is not None
        }
        yield event.model_copy(update=times)


def _repaired(facts: _Facts, order: RepairOrder, stop: Stop) -> RepairResult:
    try:
        return repair(
            facts.book,
            facts.plan,
            facts.events,
            facts.now,
            seconds=order.seconds,
            seed=order.seed,
            stop=stop,
        )
    except InputError as wrong:
        if all(fault.pointer.startswith("/events/") for fault in wrong.faults):
            raise UnprocessableError(*wrong.faults) from wrong
        raise ConflictError(f"the salon's own book is at fault: {wrong}") from wrong
    except PlanRejected as broken:
        # Rules that were broken before now, and that no repair of what is to come can mend.
        _log.warning("a repair was rejected", exc_info=broken)
        first = broken.findings[0]
        raise ConflictError(
            f"the book breaks a rule that no repair can mend: {first.detail}"
        ) from broken


def _record(
    order: RepairOrder, facts: _Facts, result: RepairResult, made_at: datetime
) -> RepairRecord:
    name = f"repair-{uuid4().hex[:16]}"
    run = RepairRun(
        id=name,
        state=RepairState.PROPOSED,
        order=order,
        now=facts.now,
        created_at=made_at,
        book_revision=facts.snapshot.revision,
        status=result.status,
        plan=result.plan,
        differences=result.differences,
        renegotiate=result.renegotiate,
        tiers=result.tiers,
        findings=result.findings,
    )
    return RepairRecord(id=name, run=run, day_book=result.day_book)
