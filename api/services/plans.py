"""Plans: the days solved aside, and written back into the book.

A plan is made from the book at one revision. No unit of work is open while the solver works; the
places are written back in one transaction, and only if the book is still at that revision.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from uuid import uuid4

from api.clock import Clock
from api.services.aside import Aside
from api.services.day_books import Snapshot, read_snapshot
from api.services.errors import BookChangedError, ConflictError, NotFoundError, RunFailedError
from api.services.job_ports import Kind
from api.services.jobs import Jobs, Keep
from api.services.live_runs import LiveRun, last_event
from api.services.ports import Asked, Store, UnitOfWork
from api.services.promising import require_nothing_held
from api.services.publishing import publish, requests_of
from schemas.daybook import DayBook
from schemas.plan import PlanResult
from schemas.problems import Problem
from schemas.runs import PlanOrder, PlanProgress, PlanRun, RunState
from solver.model.progress import OnProgress, Stop
from solver.plan import plan_days


@dataclass(frozen=True)
class _Facts:
    """The book as it is when the plan is begun."""

    snapshot: Snapshot
    book: DayBook


class Plans:
    """Orders and results."""

    kind = Kind.PLAN

    def __init__(self, store: Store, clock: Clock, jobs: Jobs, solves: int) -> None:
        self.store = store
        self.clock = clock
        self.jobs = jobs
        self.aside = Aside(solves)
        jobs.makers[self.kind] = self

    async def read(self, name: str) -> PlanRun:
        """The run as it stands."""
        # Heard first: a run that ends in between is then read as ended, not as begun anew.
        heard = await self.jobs.heard(name)
        run = await self._kept(name)
        if run.state is not RunState.RUNNING or heard is None:
            return run
        return run.model_copy(update={"fraction": heard.fraction})

    async def watch(self, name: str) -> AsyncIterator[PlanProgress | None]:
        """How it stands, then every better plan and bound, then how it ended.

        None says that there is no news. Raises NotFoundError before there is anything to hear.
        """
        await self._kept(name)

        async def last() -> PlanProgress:
            return last_event(await self._kept(name))

        return self.jobs.watch(name, last)

    async def cancel(self, name: str) -> PlanRun:
        """End it with the best plan so far; of one that has ended, nothing changes."""
        run = await self._kept(name)
        if run.state is not RunState.RUNNING:
            return run
        await self.jobs.cancel(name)
        return await self._kept(name)

    async def make(self, order: PlanOrder) -> PlanRun:
        """The plan, once it is there. Raises RunFailedError with what came in the way."""

        async def ordered(asked: Asked | None) -> str:
            return (await self._order(order, asked)).id

        run = await self._kept(await self.jobs.made(ordered))
        if run.problem is not None:
            raise RunFailedError(run.problem)
        await self.jobs.keep_answer()
        return run

    async def start(self, order: PlanOrder) -> PlanRun:
        """The run, at once; read it again, or watch it, to see how far it is."""
        return await self._order(order, None)

    async def recover(self) -> None:
        """Say of runs of an older version, which are no jobs, that a stop cut them short."""
        async with self.store.reading() as unit:
            lost = [run for run in await unit.plans.running() if not await unit.jobs.get(run.id)]
        if lost:
            async with self.store.writing() as unit:
                for run in lost:
                    stopped = ConflictError("the service was stopped before the plan was done")
                    await self.fail(unit, run.id, self.jobs.tell(stopped))

    async def solve(self, name: str, live: LiveRun) -> Keep:
        run = await self._kept(name)
        facts = await self._facts(run.order)
        run = run.model_copy(update={"book_revision": facts.snapshot.revision})
        call = partial(_solve, facts.book, run.order)
        live.begun.set()
        result = await self.aside.ask(call, live.stopped, live.hear)

        async def keep(unit: UnitOfWork) -> PlanProgress:
            if live.cancelled:
                state = {"state": RunState.CANCELLED, "fraction": live.latest.fraction}
                ended = run.model_copy(update={**state, "result": result})
            else:
                done = {"state": RunState.DONE, "fraction": 1.0, "result": result}
                ended = await self._published(unit, run.model_copy(update=done), facts.snapshot)
            await unit.plans.put(ended)
            return last_event(ended)

        return keep

    async def fail(self, unit: UnitOfWork, name: str, problem: Problem) -> PlanProgress | None:
        run = await unit.plans.get(name)
        if run is None:
            return None
        failed = run.model_copy(update={"state": RunState.FAILED, "problem": problem})
        await unit.plans.put(failed)
        return last_event(failed)

    async def _kept(self, name: str) -> PlanRun:
        async with self.store.reading() as unit:
            run = await unit.plans.get(name)
        if run is None:
            raise NotFoundError("plan", name)
        return run

    async def _order(self, order: PlanOrder, asked: Asked | None) -> PlanRun:
        """Refuses what makes no sense before it is a job."""
        facts = await self._facts(order)
        run = PlanRun(
            id=f"plan-{uuid4().hex[:16]}",
            state=RunState.RUNNING,
            order=order,
            created_at=self.clock.now(),
            book_revision=facts.snapshot.revision,
            notice=await self.jobs.notice(),
        )
        await self.jobs.add(run.id, self.kind, lambda unit: unit.plans.put(run), asked)
        return run

    async def _facts(self, order: PlanOrder) -> _Facts:
        now = self.clock.now()
        if order.publish:
            await self.store.let_go()
        async with self.store.reading() as unit:
            snapshot = await read_snapshot(unit, order.first, order.last)
        if order.publish:
            _require_ahead(snapshot, now)
            require_nothing_held(snapshot)
        book = await asyncio.to_thread(snapshot.sound_day_book, requests_of(snapshot, now))
        return _Facts(snapshot, book)

    async def _published(self, unit: UnitOfWork, run: PlanRun, snapshot: Snapshot) -> PlanRun:
        """The plan in the book, where that was ordered."""
        plan = None if run.result is None else run.result.plan
        if not run.order.publish or plan is None:
            return run
        if unit.revision != snapshot.revision:
            raise BookChangedError("the book has changed while the plan was made")
        await publish(unit, snapshot, plan, self.clock.now())
        return run.model_copy(update={"published": True})


def _solve(book: DayBook, order: PlanOrder, stop: Stop, hear: OnProgress) -> PlanResult:
    return plan_days(book, seconds=order.seconds, seed=order.seed, on_progress=hear, stop=stop)


def _require_ahead(snapshot: Snapshot, now: datetime) -> None:
    """Raises ConflictError where a visit has begun: a plan might write it down otherwise."""
    for record in snapshot.placed:
        if record.placed is not None and record.placed.window.start < now:
            raise ConflictError(
                f"{record.id} has begun already, and a plan that is published would change what "
                "was: repair the running day with POST /v1/repairs, or plan from the next day on"
            )
