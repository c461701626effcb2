"""Plans: the days solved off the event loop, and written back into the book.

A plan is made from the book at one revision. No unit of work is open while the solver works; the
places are written back in one transaction, and only if the book is still at that revision.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from uuid import uuid4

from api.clock import Clock
from api.services.day_books import Snapshot, read_snapshot
from api.services.errors import (
    BookChangedError,
    ConflictError,
    NotFoundError,
    ServiceError,
    StoreUnavailableError,
)
from api.services.ports import Store
from api.services.publishing import publish, requests_of
from schemas.daybook import DayBook
from schemas.plan import PlanResult
from schemas.problems import Problem
from schemas.runs import PlanOrder, PlanRun, RunState
from solver.cross_check import cross_check
from solver.errors import InputError
from solver.plan import Progress, plan_days

_log = logging.getLogger("partline.plans")
LONGEST_QUEUE = 20
"""Plans under way or waiting; more are refused rather than kept waiting for minutes."""


@dataclass(frozen=True)
class _Facts:
    """The book as it was when the plan was ordered."""

    snapshot: Snapshot
    book: DayBook


class Plans:
    """Orders and results. `tell` turns an error into what a failed run says of itself."""

    def __init__(
        self, store: Store, clock: Clock, solves: int, tell: Callable[[Exception], Problem]
    ) -> None:
        self.store = store
        self.clock = clock
        self.tell = tell
        self.turn = asyncio.Semaphore(solves)
        self.fractions: dict[str, float] = {}
        self.tasks: set[asyncio.Task[PlanRun]] = set()
        self.closing = False

    async def read(self, name: str) -> PlanRun:
        # Asked before as well: the run may end, and be forgotten here, while the store is read.
        before = self.fractions.get(name, 0.0)
        async with self.store.reading() as unit:
            run = await unit.plans.get(name)
        if run is None:
            raise NotFoundError("plan", name)
        if run.state is RunState.RUNNING:
            fraction = max(before, self.fractions.get(name, 0.0))
            return run.model_copy(update={"fraction": fraction})
        return run

    async def make(self, order: PlanOrder) -> PlanRun:
        """The plan, once it is there. Nothing is kept of one that fails.

        Raises BookChangedError where it was to be published and the book changed meanwhile.
        """
        run, facts = await self._begin(order)
        try:
            return await self._finish(run, facts)
        finally:
            self.fractions.pop(run.id, None)

    async def start(self, order: PlanOrder) -> PlanRun:
        """The run, at once; read it again to see how far it is."""
        run, facts = await self._begin(order)
        async with self.store.writing() as unit:
            await unit.plans.put(run)
        task = asyncio.create_task(self._in_the_background(run, facts))
        self.tasks.add(task)
        task.add_done_callback(self.tasks.discard)
        return run

    async def recover(self) -> None:
        """Say of runs that a stop cut short that they failed. For the start of the service."""
        async with self.store.writing() as unit:
            for run in await unit.plans.running():
                await unit.plans.put(self._failed(run, ConflictError("the service was stopped")))

    async def close(self) -> None:
        """End the runs under way; each is kept as failed."""
        self.closing = True
        await asyncio.gather(*self.tasks, return_exceptions=True)

    async def _begin(self, order: PlanOrder) -> tuple[PlanRun, _Facts]:
        if len(self.fractions) >= LONGEST_QUEUE or self.closing:
            raise StoreUnavailableError("too many plans are being made; try again later")
        async with self.store.reading() as unit:
            snapshot = await read_snapshot(unit, order.first, order.last)
        book = _day_book(snapshot, self.clock.now())
        run = PlanRun(
            id=f"plan-{uuid4().hex[:16]}",
            state=RunState.RUNNING,
            order=order,
            created_at=self.clock.now(),
            book_revision=snapshot.revision,
        )
        self.fractions[run.id] = 0.0
        return run, _Facts(snapshot, book)

    async def _in_the_background(self, run: PlanRun, facts: _Facts) -> PlanRun:
        try:
            return await self._finish(run, facts)
        except Exception as error:  # whatever it was, the run must say so
            if not isinstance(error, ServiceError | InputError):
                _log.error("the plan %s failed", run.id, exc_info=error)
            failed = self._failed(run, error)
            async with self.store.writing() as unit:
                await unit.plans.put(failed)
            return failed
        finally:
            self.fractions.pop(run.id, None)

    async def _finish(self, run: PlanRun, facts: _Facts) -> PlanRun:
        async with self.turn:
            result = await asyncio.to_thread(self._solve, run, facts.book)
        if self.closing:
            raise ConflictError("the service was stopped before the plan was done")
        done = run.model_copy(update={"state": RunState.DONE, "fraction": 1.0, "result": result})
        async with self.store.writing() as unit:
            if run.order.publish and result.plan is not None:
                if unit.revision != run.book_revision:
                    raise BookChangedError("the book has changed while the plan was made")
                await publish(unit, facts.snapshot, result.plan, self.clock.now())
                done = done.model_copy(update={"published": True})
            await unit.plans.put(done)
        return done

    def _solve(self, run: PlanRun, book: DayBook) -> PlanResult:
        def on_progress(progress: Progress) -> None:
            self.fractions[run.id] = min(1.0, max(0.0, progress.fraction))

        return plan_days(
            book,
            seconds=run.order.seconds,
            seed=run.order.seed,
            on_progress=on_progress,
            stop=lambda: self.closing,
        )

    def _failed(self, run: PlanRun, error: Exception) -> PlanRun:
        return run.model_copy(update={"state": RunState.FAILED, "problem": self.tell(error)})


def _day_book(snapshot: Snapshot, now: datetime) -> DayBook:
    """The day book to plan. Raises ConflictError where the book on record contradicts itself."""
    book = snapshot.day_book(requests_of(snapshot, now))
    try:
        cross_check(book)
    except InputError as wrong:
        raise ConflictError(f"the salon's own book is at fault: {wrong}") from wrong
    return book
