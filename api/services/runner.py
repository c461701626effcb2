"""Looks after jobs: those that wait are taken, or handed to the queue; those left behind, again."""

from __future__ import annotations

import asyncio
import logging
from contextlib import suppress

from api.services.errors import ServiceError
from api.services.job_ports import Job, Kind
from api.services.jobs import Jobs

_log = logging.getLogger("partline.jobs")
ON_ITS_WAY = 5.0
"""Seconds in which a job that was ordered is trusted to be in the queue."""


class Runner:
    """One in each process that serves; `start` and `close` it in the event loop."""

    def __init__(self, jobs: Jobs) -> None:
        self.jobs = jobs
        self.tasks: dict[Kind, set[asyncio.Task[None]]] = {}
        self._woken = asyncio.Event()
        self._loop: asyncio.Task[None] | None = None
        jobs.wake = self._woken.set

    def start(self) -> None:
        self._loop = asyncio.create_task(self._run())

    async def close(self) -> None:
        """Take no more, and wait for what was stopped."""
        if self._loop is not None:
            self._loop.cancel()
            with suppress(asyncio.CancelledError):
                await self._loop
        await asyncio.gather(*(task for tasks in self.tasks.values() for task in tasks))

    async def _run(self) -> None:
        while True:
            self._woken.clear()
            try:
                await self._look()
            except ServiceError as error:
                _log.warning("jobs could not be looked after", exc_info=error)
            # Not wait_for: in Python 3.11 it may swallow the wish to cancel.
            with suppress(TimeoutError):
                async with asyncio.timeout(self.jobs.lease / 2):
                    await self._woken.wait()

    async def _look(self) -> None:
        found = await self.jobs.store.leases.to_be_had()
        queue = self.jobs.queue
        if found and queue is not None and await queue.is_manned():
            for name, kind, age in found:
                if age > ON_ITS_WAY:
                    await queue.put(self.jobs.store.salon, name, kind)
            return
        for kind in {kind for _, kind, _ in found}:
            await self._take(kind)

    async def _take(self, kind: Kind) -> None:
        """As many of the kind as can be solved at once."""
        tasks = self.tasks.setdefault(kind, set())
        while len(tasks) < self.jobs.makers[kind].aside.at_once and not self.jobs.closing:
            job = await self.jobs.store.leases.take(kind, self.jobs.lease)
            if job is None:
                return
            task = asyncio.create_task(self._carry_out(job))
            tasks.add(task)
            task.add_done_callback(tasks.discard)

    async def _carry_out(self, job: Job) -> None:
        try:
            await self.jobs.carry_out(job)
        finally:
            self._woken.set()
