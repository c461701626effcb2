"""A worker: takes jobs from the queue in Redis and carries them out over the store.

Any number of them may run, on one machine or on several. One that is killed leaves its jobs behind:
SAQ hands them to another, which waits until the lease of the dead one has run out.
"""

from __future__ import annotations

import asyncio
import logging
import signal

from saq.types import Context
from saq.worker import Worker

from api.bootstrap import furnish
from api.clock import Clock, SystemClock
from api.queueing import queue_of
from api.services.aside import warm
from api.services.desk import Desk
from api.services.errors import ServiceError
from api.services.job_ports import Kind
from api.settings import Settings
from api.store.engines import open_engines
from api.store.unit_of_work import SqlStore

_log = logging.getLogger("partline.worker")
_TIMERS: dict[str, int] = {"schedule": 1, "worker_info": 2, "sweep": 2, "abort": 1}


class _GoesOnElsewhereError(Exception):
    """This worker is stopped; the job is for another."""


class Hands:
    """Carries out jobs of every salon of one database."""

    def __init__(self, settings: Settings, clock: Clock) -> None:
        self.settings = settings
        self.clock = clock
        self.engines = open_engines(settings)
        self.desks: dict[str, Desk] = {}
        self.closing = asyncio.Event()

    async def solve(self, context: Context, *, salon: str, name: str, kind: str) -> None:
        """What SAQ calls. A job whose lease is somebody's is waited for: she may be dead."""
        desk, queued = self._desk(salon), context["job"]
        while not self.closing.is_set():
            try:
                taken = await desk.jobs.store.leases.take(Kind(kind), self.settings.lease, name)
                if taken is not None:
                    await desk.jobs.carry_out(taken, queued.update)
                    continue
                if await desk.jobs.is_over(name):
                    return
            except ServiceError as error:
                _log.warning("the job %s must wait", name, exc_info=error)
            await queued.update()
            await asyncio.sleep(min(1.0, self.settings.lease / 4))
        raise _GoesOnElsewhereError

    async def close(self) -> None:
        self.closing.set()
        for desk in self.desks.values():
            await desk.jobs.close()
        while any(desk.jobs.live for desk in self.desks.values()):
            await asyncio.sleep(0.05)

    def _desk(self, salon: str) -> Desk:
        if salon not in self.desks:
            store = SqlStore(self.engines, salon, self.clock)
            self.desks[salon] = furnish(store, self.settings, self.clock)
        return self.desks[salon]


async def work(settings: Settings, clock: Clock | None = None) -> None:
    """Carry out jobs until SIGTERM or Ctrl-C."""
    hands = Hands(settings, clock or SystemClock())
    await SqlStore(hands.engines, settings.salon).prepare(migrate_first=settings.migrate)
    warm()
    workers = [
        Worker(
            queue_of(settings, kind),
            [("solve", hands.solve)],
            concurrency=settings.solves,
            timers=_TIMERS,  # type: ignore[arg-type]  # a dict of these names is what it takes
        )
        for kind in Kind
    ]
    loop, over = asyncio.get_running_loop(), asyncio.Event()
    for worker in workers:
        # Two of them are in one process, which hears the signals for both.
        worker.SIGNALS = []
    for name in (signal.SIGINT, signal.SIGTERM):
        loop.add_signal_handler(name, over.set)
    at_work = [asyncio.create_task(worker.start()) for worker in workers]
    stopped = asyncio.create_task(over.wait())
    try:
        await asyncio.wait((*at_work, stopped), return_when=asyncio.FIRST_COMPLETED)
    finally:
        stopped.cancel()
        await hands.close()
        for worker in workers:
            await worker.stop()
            await worker.queue.disconnect()
        await asyncio.gather(*at_work, return_exceptions=True)
        await hands.engines.dispose()
