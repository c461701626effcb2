"""Runs that take time, as jobs: ordered in one transaction, carried out aside, ended in another.

Whoever carries out a job, this process or another, has a lease of it and renews it by a heartbeat.
A process that is killed renews nothing: its lease runs out, another takes the job and solves the
book as it is by then. Only the newest attempt can end a job, in the transaction that writes its
result, so nothing is written twice. How far a job is, and the wish to stop it, go through the
store with the heartbeat, so any process can tell and be told.
"""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import suppress
from typing import Protocol

from api.services.aside import Aside, SolverDiedError
from api.services.callers import CALLER
from api.services.errors import (
    ConflictError,
    QueueUnavailableError,
    ServiceError,
    StoreUnavailableError,
)
from api.services.job_ports import Job, JobState, Kind, Queue
from api.services.live_runs import QUIET_SECONDS, LiveRun
from api.services.once import KEEPING, KEPT_FOR, apart, once_committed
from api.services.ports import Asked, Store, UnitOfWork
from schemas.problems import Problem
from schemas.runs import PlanProgress, RunState
from solver.errors import InputError

_log = logging.getLogger("partline.jobs")
LONGEST_QUEUE = 20
"""Runs of a kind under way or waiting; more are refused rather than kept waiting for minutes."""
MOST_ATTEMPTS = 3
LONGEST_WAIT = 3600.0
"""Seconds after which a job that nobody has carried out is not wanted any more."""
POLL = 0.25
"""Seconds between two looks at a job that another process carries out."""
STOPPED = "the service was stopped before it was done; it goes on with the next: read it there"
BY_ITSELF = "no worker answers, so the service makes it itself, in turn"
Keep = Callable[[UnitOfWork], Awaitable[PlanProgress | None]]
"""Writes a run's end in the transaction that ends its job; gives what its listeners hear last."""


class Maker(Protocol):
    """What carries out jobs of one kind."""

    kind: Kind
    aside: Aside

    async def solve(self, name: str, live: LiveRun) -> Keep:
        """Read the run and the book, and solve it aside."""
        ...

    async def fail(self, unit: UnitOfWork, name: str, problem: Problem) -> PlanProgress | None:
        """Keep it as failed."""
        ...


class _LostError(Exception):
    """The job is another's by now."""


class Jobs:
    """`tell` turns an error into what a failed run says of itself; `lease` is in seconds."""

    def __init__(
        self, store: Store, queue: Queue | None, tell: Callable[[Exception], Problem], lease: float
    ) -> None:
        self.store = store
        self.queue = queue
        self.tell = tell
        self.lease = lease
        self.makers: dict[Kind, Maker] = {}
        self.live: dict[str, LiveRun] = {}
        self.closing = False
        self.wake: Callable[[], None] = lambda: None
        """Told of each job that this process should look after."""
        self.solved: Callable[[str, float, float | None], None] = _nobody
        """Told of each solve: its kind, how long it took, what its first goal may still lack."""
        self._changed = asyncio.Event()
        self._handing: set[asyncio.Task[None]] = set()

    async def add(
        self,
        name: str,
        kind: Kind,
        put: Callable[[UnitOfWork], Awaitable[object]],
        asked: Asked | None = None,
    ) -> None:
        """Order a run; `put` keeps it in the same transaction.

        Raises StoreUnavailableError where too many are under way.
        """
        async with self.store.writing() as unit:
            if self.closing or await unit.jobs.count_open(kind) >= LONGEST_QUEUE:
                raise StoreUnavailableError(f"too many {kind}s are being made; try again later")
            await unit.jobs.add(name, kind, CALLER.get(), asked)
            await put(unit)
        once_committed(lambda: self._hand_over(name, kind))

    async def made(self, order: Callable[[Asked | None], Awaitable[str]]) -> str:
        """The name of a run that `order` orders, once it has ended; where the same request, told
        before, has ordered one, that one's.
        """
        keeping = KEEPING.get()
        asked = None if keeping is None else keeping.asked
        name = await self._ordered_before()
        if name is None:

            async def ordered() -> str:
                return await order(asked)

            # Workers must see it: it is no part of what waits for the answer to be committed.
            name = await apart(ordered())
        await self.until_ended(name)
        return name

    async def keep_answer(self) -> None:
        """Have the answer to a keyed request kept, though it writes nothing else."""
        if KEEPING.get() is not None:
            async with self.store.writing():
                pass

    async def notice(self) -> str | None:
        """What whoever orders a run should know of how it will be made."""
        if self.queue is None or await self.queue.is_manned():
            return None
        return BY_ITSELF

    async def until_ended(self, name: str) -> None:
        """Raises StoreUnavailableError where the service is stopped first."""
        while True:
            changed = self._changed
            live = self.live.get(name)
            if live is not None:
                await live.left.wait()
            elif await self.is_over(name):
                return
            elif self.closing:
                raise StoreUnavailableError(STOPPED)
            else:
                await _within(POLL, changed.wait())

    async def is_over(self, name: str) -> bool:
        """Whether there is nothing left to carry out."""
        job = await self._job(name)
        return job is None or job.state is JobState.ENDED

    async def cancel(self, name: str) -> None:
        """End it with the best so far, wherever it is made; returns once it has ended."""
        live = self.live.get(name)
        if live is not None:
            live.cancel()
        else:
            await self.store.leases.stop_wanting(name)
            self.wake()
        await self.until_ended(name)

    async def watch(
        self, name: str, last: Callable[[], Awaitable[PlanProgress]]
    ) -> AsyncIterator[PlanProgress | None]:
        """How it stands, every event, and `last` at its end; None where there is no news.

        Ends without an end where the service is stopped.
        """
        told, silent = None, 0.0
        while True:
            changed = self._changed
            live = self.live.get(name)
            if live is not None:
                async for event in live.events():
                    yield event
                if live.latest.state is not RunState.RUNNING:
                    return
                told = live.latest
            job = await self._job(name)
            if job is None or job.state is JobState.ENDED:
                yield await last()
                return
            if self.closing:
                return
            heard = job.heard or PlanProgress(plan=name, state=RunState.RUNNING)
            if heard != told:
                told, silent = heard, 0.0
                yield heard
            elif silent >= QUIET_SECONDS:
                silent = 0.0
                yield None
            silent += POLL
            await _within(POLL, changed.wait())

    async def heard(self, name: str) -> PlanProgress | None:
        """The latest that is known of a run under way."""
        live = self.live.get(name)
        if live is not None:
            return live.latest
        job = await self._job(name)
        return None if job is None else job.heard

    async def carry_out(
        self, job: Job, beat: Callable[[], Awaitable[object]] | None = None
    ) -> None:
        """Solve what this process has a lease of, and write it down. Raises nothing.

        `beat` is called with each renewal of the lease.
        """
        live = self.live[job.name] = LiveRun(job.name, job.heard)
        CALLER.set(job.caller)
        self._tell_of_change()
        heart = asyncio.create_task(self._renew(job, live, beat))
        last = None
        try:
            last = await self._carried_out(job, live)
        except _LostError:
            _log.warning("the job %s was taken over by another", job.name)
        except ServiceError as error:
            # It runs out by itself.
            _log.warning("the job %s could not be ended", job.name, exc_info=error)
        except asyncio.CancelledError:
            with suppress(ServiceError):
                await self.store.leases.give_back(job)
            raise
        finally:
            heart.cancel()
            # Only now: whoever does not find it here finds its end in the store.
            self.live.pop(job.name, None)
            live.end(last)
            self._tell_of_change()

    async def close(self) -> None:
        """End what is under way here; what is not done waits for another process."""
        self.closing = True
        for live in self.live.values():
            live.stop()
        self._tell_of_change()
        for maker in self.makers.values():
            maker.aside.close()
        if self.queue is not None:
            await self.queue.close()

    async def _carried_out(self, job: Job, live: LiveRun) -> PlanProgress | None:
        maker = self.makers[job.kind]
        if job.unwanted:
            live.cancel()
        try:
            if job.attempt > MOST_ATTEMPTS or job.age > LONGEST_WAIT:
                raise ConflictError("the service was stopped before it was done: order it again")
            begun = time.monotonic()
            keep = await maker.solve(job.name, live)
            self.solved(job.kind.value, time.monotonic() - begun, live.latest.gap)
            if live.lost:
                raise _LostError
            if not live.cancelled and live.stopped.is_set():
                await self.store.leases.give_back(job)
                return None
            return await self._end(job, keep)
        except (SolverDiedError, StoreUnavailableError) as error:
            if job.attempt < MOST_ATTEMPTS:
                _log.warning("the job %s is tried again", job.name, exc_info=error)
                await self.store.leases.give_back(job)
                return None
            problem = self._told(job, error)
        except (_LostError, asyncio.CancelledError):
            raise
        except Exception as error:  # whatever it was, the run must say so
            problem = self._told(job, error)

        async def fail(unit: UnitOfWork) -> PlanProgress | None:
            await unit.jobs.disown(job.name)
            return await maker.fail(unit, job.name, problem)

        return await self._end(job, fail)

    def _told(self, job: Job, error: Exception) -> Problem:
        if not isinstance(error, ServiceError | InputError):
            _log.error("the job %s failed", job.name, exc_info=error)
        return self.tell(error)

    async def _end(self, job: Job, keep: Keep) -> PlanProgress | None:
        """Write it down, with patience where the database is away for a moment."""
        pauses = [0.1, 0.5, 1.0, 2.0, 4.0]
        while True:
            try:
                async with self.store.writing() as unit:
                    if not await unit.jobs.end(job.name, job.attempt):
                        raise _LostError
                    return await keep(unit)
            except StoreUnavailableError:
                if not pauses or self.closing:
                    raise
                await asyncio.sleep(pauses.pop(0))

    async def _renew(
        self, job: Job, live: LiveRun, beat: Callable[[], Awaitable[object]] | None
    ) -> None:
        while True:
            await asyncio.sleep(min(1.0, self.lease / 4))
            with suppress(ServiceError, OSError):
                unwanted = await self.store.leases.renew(job, self.lease, live.latest)
                if unwanted is None:
                    live.lost = True
                    live.stop()
                    return
                if unwanted:
                    live.cancel()
            if beat is not None:
                await beat()

    async def _ordered_before(self) -> str | None:
        keeping = KEEPING.get()
        if keeping is None:
            return None
        async with self.store.reading() as unit:
            asked = keeping.asked
            found = await unit.jobs.ordered_by(asked.who, asked.key, KEPT_FOR)
        if found is None:
            return None
        name, fingerprint = found
        keeping.require_same(fingerprint)
        return name

    def _hand_over(self, name: str, kind: Kind) -> None:
        if self.queue is None:
            self.wake()
            return
        task = asyncio.create_task(self._queue_up(self.queue, name, kind))
        self._handing.add(task)
        task.add_done_callback(self._handing.discard)

    async def _queue_up(self, queue: Queue, name: str, kind: Kind) -> None:
        try:
            if await queue.is_manned():
                await queue.put(self.store.salon, name, kind)
                return
        except QueueUnavailableError as error:
            _log.warning("the job %s could not be queued", name, exc_info=error)
        self.wake()

    async def _job(self, name: str) -> Job | None:
        async with self.store.reading() as unit:
            return await unit.jobs.get(name)

    def _tell_of_change(self) -> None:
        changed, self._changed = self._changed, asyncio.Event()
        changed.set()


def _nobody(_kind: str, _seconds: float, _gap: float | None) -> None:
    """Counts nothing."""


async def _within(seconds: float, waiting: Awaitable[object]) -> None:
    with suppress(TimeoutError):
        async with asyncio.timeout(seconds):
            await waiting
