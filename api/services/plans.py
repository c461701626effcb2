"""Plans: the days solved off the event loop, and written back into the book.

A plan is made from the book at one revision. No unit of work is open while the solver works; the
places are written back in one transaction, and only if the book is still at that revision.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
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
from api.services.live_runs import LiveRun, last_event, only
from api.services.once import KEEPING
from api.services.ports import Store
from api.services.promising import require_nothing_held
from api.services.publishing import publish, requests_of
from schemas.daybook import DayBook
from schemas.plan import PlanResult
from schemas.problems import Problem
from schemas.runs import PlanOrder, PlanProgress, PlanRun, RunState
from solver.errors import InputError
from solver.plan import plan_days

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
        # Threads of its own: those of the loop answer the short questions of everybody else.
        self.threads = ThreadPoolExecutor(solves, thread_name_prefix="plan")
        self.live: dict[str, LiveRun] = {}
        self.tasks: set[asyncio.Task[None]] = set()
        self.closing = False

    async def read(self, name: str) -> PlanRun:
        """The run as it stands."""
        live = self.live.get(name)
        return live.so_far if live is not None else await self._kept(name)

    async def watch(self, name: str) -> AsyncIterator[PlanProgress | None]:
        """How it stands, then every better plan and bound, then how it ended.

        None says that there is no news. Raises NotFoundError before there is anything to hear.
        """
        live = self.live.get(name)
        return live.events() if live is not None else only(last_event(await self._kept(name)))

    async def cancel(self, name: str) -> PlanRun:
        """End it with the best plan so far; of one that has ended, nothing changes.

        Raises ConflictError for one that another process is making.
        """
        live = self.live.get(name)
        if live is None:
            run = await self._kept(name)
            if run.state is RunState.RUNNING:
                raise ConflictError(f"{name} is made by another process: ask that one")
            return run
        live.stop()
        return await asyncio.shield(live.ended)

    async def make(self, order: PlanOrder) -> PlanRun:
        """The plan, once it is there. Nothing is kept of one that fails.

        Raises BookChangedError where it was to be published and the book changed meanwhile.
        """
        live, facts = await self._begin(order)
        try:
            return await self._finish(live, facts)
        finally:
            self.live.pop(live.run.id, None)

    async def start(self, order: PlanOrder) -> PlanRun:
        """The run, at once; read it again, or watch it, to see how far it is."""
        live, facts = await self._begin(order)
        try:
            async with self.store.writing() as unit:
                await unit.plans.put(live.run)
        except BaseException:
            self.live.pop(live.run.id, None)
            raise
        # What is done from now on is no part of the request, which may be told twice.
        context = copy_context()
        context.run(KEEPING.set, None)
        task = asyncio.create_task(self._in_the_background(live, facts), context=context)
        self.tasks.add(task)
        task.add_done_callback(self.tasks.discard)
        return live.run

    async def recover(self) -> None:
        """Say of runs that a stop cut short that they failed. For the start of the service."""
        async with self.store.writing() as unit:
            for run in await unit.plans.running():
                await unit.plans.put(self._failed(run, ConflictError("the service was stopped")))

    async def close(self) -> None:
        """End the runs under way; each is kept as failed, and whoever watches hears so."""
        self.closing = True
        for live in self.live.values():
            live.stop()
        await asyncio.gather(*self.tasks, return_exceptions=True)
        self.threads.shutdown(wait=False)

    async def _kept(self, name: str) -> PlanRun:
        async with self.store.reading() as unit:
            run = await unit.plans.get(name)
        if run is None:
            raise NotFoundError("plan", name)
        return run

    async def _begin(self, order: PlanOrder) -> tuple[LiveRun, _Facts]:
        if len(self.live) >= LONGEST_QUEUE or self.closing:
            raise StoreUnavailableError("too many plans are being made; try again later")
        if order.publish:
            await self.store.let_go()
        async with self.store.reading() as unit:
            snapshot = await read_snapshot(unit, order.first, order.last)
        if order.publish:
            _require_ahead(snapshot, self.clock.now())
            require_nothing_held(snapshot)
        book = snapshot.sound_day_book(requests_of(snapshot, self.clock.now()))
        run = PlanRun(
            id=f"plan-{uuid4().hex[:16]}",
            state=RunState.RUNNING,
            order=order,
            created_at=self.clock.now(),
            book_revision=snapshot.revision,
        )
        live = LiveRun(run)
        self.live[run.id] = live
        return live, _Facts(snapshot, book)

    async def _in_the_background(self, live: LiveRun, facts: _Facts) -> None:
        run = live.run
        try:
            run = await self._finish(live, facts)
        except Exception as error:  # whatever it was, the run must say so
            if not isinstance(error, ServiceError | InputError):
                _log.error("the plan %s failed", run.id, exc_info=error)
            run = self._failed(live.so_far, error)
            async with self.store.writing() as unit:
                await unit.plans.put(run)
        finally:
            # Only now: whoever does not find it here finds its end in the store.
            self.live.pop(run.id, None)
            live.end(run)

    async def _finish(self, live: LiveRun, facts: _Facts) -> PlanRun:
        result = None
        if await self._has_its_turn(live):
            try:
                loop = asyncio.get_running_loop()
                result = await loop.run_in_executor(self.threads, self._solve, live, facts.book)
            finally:
                self.turn.release()
        if self.closing:
            raise ConflictError("the service was stopped before the plan was done")
        if live.is_stopped():
            state = {"state": RunState.CANCELLED, "result": result}
            return await self._keep(live.so_far.model_copy(update=state))
        done = {"state": RunState.DONE, "fraction": 1.0, "result": result}
        return await self._keep(live.run.model_copy(update=done), facts.snapshot)

    async def _keep(self, run: PlanRun, publish_in: Snapshot | None = None) -> PlanRun:
        """The run on record, and its plan in the book where that was ordered."""
        plan = None if run.result is None else run.result.plan
        async with self.store.writing() as unit:
            if run.order.publish and plan is not None and publish_in is not None:
                if unit.revision != run.book_revision:
                    raise BookChangedError("the book has changed while the plan was made")
                await publish(unit, publish_in, plan, self.clock.now())
                run = run.model_copy(update={"published": True})
            await unit.plans.put(run)
        return run

    async def _has_its_turn(self, live: LiveRun) -> bool:
        """Wait for the solver; False where the run is stopped before its turn."""
        turn = asyncio.create_task(self.turn.acquire())
        stopped = asyncio.create_task(live.stopped.wait())
        try:
            await asyncio.wait((turn, stopped), return_when=asyncio.FIRST_COMPLETED)
        finally:
            stopped.cancel()
            # Does nothing to a turn that is had already.
            turn.cancel()
        if not turn.done() or turn.cancelled():
            return False
        if live.is_stopped():
            self.turn.release()
            return False
        return True

    def _solve(self, live: LiveRun, book: DayBook) -> PlanResult:
        order = live.run.order
        return plan_days(
            book,
            seconds=order.seconds,
            seed=order.seed,
            on_progress=live.hear,
            stop=live.is_stopped,
        )

    def _failed(self, run: PlanRun, error: Exception) -> PlanRun:
        return run.model_copy(update={"state": RunState.FAILED, "problem": self.tell(error)})


def _require_ahead(snapshot: Snapshot, now: datetime) -> None:
    """Raises ConflictError where a visit has begun: a plan might write it down otherwise."""
    for record in snapshot.placed:
        if record.placed is not None and record.placed.window.start < now:
            raise ConflictError(
                f"{record.id} has begun already, and a plan that is published would change what "
                "was: repair the running day with POST /v1/repairs, or plan from the next day on"
            )
