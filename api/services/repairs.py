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
from functools import partial
from uuid import uuid4

from api.clock import Clock
from api.services.accepting import accept
from api.services.aside import Aside
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
    RunFailedError,
    UnprocessableError,
)
from api.services.job_ports import Kind
from api.services.jobs import Jobs, Keep
from api.services.live_runs import LiveRun
from api.services.opening_hours import local_day
from api.services.ports import Asked, Store, UnitOfWork
from api.services.promising import require_nothing_held
from api.services.salon import salon_of
from api.services.selling import require_new
from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.problems import Problem
from schemas.repair import Event, RepairResult, WalkIn
from schemas.runs import RepairOrder, RepairRecord, RepairRun, RepairState
from solver.errors import Fault, InputError
from solver.model.progress import OnProgress, Stop
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
    kind = Kind.REPAIR

    def __init__(self, store: Store, clock: Clock, jobs: Jobs, solves: int) -> None:
        self.store = store
        self.clock = clock
        self.jobs = jobs
        # Repairs do not queue behind plans, which take minutes.
        self.aside = Aside(solves)
        jobs.makers[self.kind] = self

    async def make(self, order: RepairOrder) -> RepairRun:
        """The repaired days; in the book already where that was ordered and every promise holds.

        Raises UnprocessableError with pointers into the order, or RunFailedError.
        """

        async def ordered(asked: Asked | None) -> str:
            return (await self._order(order, asked)).id

        run = await self.read(await self.jobs.made(ordered))
        if run.problem is not None:
            raise RunFailedError(run.problem)
        await self.jobs.keep_answer()
        return run

    async def start(self, order: RepairOrder) -> RepairRun:
        """The run, at once; read it again to see whether it is done."""
        return await self._order(order, None)

    async def solve(self, name: str, live: LiveRun) -> Keep:
        async with self.store.reading() as unit:
            record = await _kept(unit, name)
        order = record.run.order
        facts = await self._facts(order)
        call = partial(_repaired, facts, order)
        live.begun.set()
        result = await self.aside.ask(call, live.stopped, live.hear)

        async def keep(unit: UnitOfWork) -> None:
            made = record if result is None else _proposed(record, facts, result)
            if order.accept and made.run.plan is not None and not made.run.renegotiate:
                made = await self._accepted(unit, made)
            await unit.repairs.put(made)

        return keep

    async def fail(self, unit: UnitOfWork, name: str, problem: Problem) -> None:
        record = await _kept(unit, name)
        failed = {"state": RepairState.FAILED, "problem": problem}
        run = record.run.model_copy(update=failed)
        await unit.repairs.put(record.model_copy(update={"run": run}))

    async def _order(self, order: RepairOrder, asked: Asked | None) -> RepairRun:
        """Refuses what makes no sense before it is a job."""
        facts = await self._facts(order)
        name = f"repair-{uuid4().hex[:16]}"
        run = RepairRun(
            id=name,
            state=RepairState.RUNNING,
            order=order,
            now=facts.now,
            created_at=self.clock.now(),
            book_revision=facts.snapshot.revision,
            notice=await self.jobs.notice(),
        )
        record = RepairRecord(id=name, run=run)
        await self.jobs.add(name, self.kind, lambda unit: unit.repairs.put(record), asked)
        return run

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


def _repaired(facts: _Facts, order: RepairOrder, stop: Stop, _: OnProgress) -> RepairResult:
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


def _proposed(record: RepairRecord, facts: _Facts, result: RepairResult) -> RepairRecord:
    run = record.run.model_copy(
        update={
            "state": RepairState.PROPOSED,
            "now": facts.now,
            "book_revision": facts.snapshot.revision,
            "status": result.status,
            "plan": result.plan,
            "differences": result.differences,
            "renegotiate": result.renegotiate,
            "tiers": result.tiers,
            "findings": result.findings,
        }
    )
    return record.model_copy(update={"run": run, "day_book": result.day_book})
