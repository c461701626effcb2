"""The queue of jobs in Redis, by SAQ: it says which worker has what, and nothing else.

What a job is, whose it is and what became of it is in the store. Redis may lose all of it: jobs
that wait are handed over again (`services.runner`).
"""

from __future__ import annotations

import asyncio
import math
from contextlib import suppress
from typing import Any

from redis import asyncio as aioredis
from redis.exceptions import RedisError
from saq.job import Job
from saq.queue.redis import RedisQueue

from api.services.errors import QueueUnavailableError
from api.services.job_ports import Kind
from api.settings import Settings

ATTEMPTS = 5
"""How often SAQ hands a job to another worker by itself."""
_ANSWER = 2.0
"""Seconds in which Redis must answer whoever serves requests."""
_FAILURES = (RedisError, OSError, TimeoutError)


class PatientQueue(RedisQueue):
    """Asks again after a moment where Redis is away; SAQ would ask without end."""

    async def dequeue(self, timeout: float = 0.0, poll_interval: float = 0.0) -> Job | None:
        try:
            return await super().dequeue(timeout, poll_interval)
        except _FAILURES:
            await asyncio.sleep(1)
            return None


def queue_of(settings: Settings, kind: Kind, **options: Any) -> PatientQueue:
    """The queue of one kind of jobs; connects to nothing yet."""
    connection = aioredis.from_url(settings.redis or "", **options)
    return PatientQueue(connection, name=f"{settings.queue}-{kind}")


class RedisJobs:
    """The queue as whoever orders runs sees it."""

    def __init__(self, settings: Settings) -> None:
        self.lease = settings.lease
        limits = {"socket_timeout": _ANSWER, "socket_connect_timeout": _ANSWER}
        self.queues = {kind: queue_of(settings, kind, **limits) for kind in Kind}

    async def is_manned(self) -> bool:
        try:
            async with asyncio.timeout(_ANSWER):
                info = await self.queues[Kind.PLAN].info()
        except _FAILURES:
            return False
        return bool(info["workers"])

    async def put(self, salon: str, name: str, kind: Kind) -> None:
        try:
            async with asyncio.timeout(_ANSWER):
                await self.queues[kind].enqueue(
                    "solve",
                    key=f"{salon}:{name}",
                    salon=salon,
                    name=name,
                    kind=kind.value,
                    # SAQ's own defaults give up after ten seconds and never try again.
                    timeout=0,
                    heartbeat=math.ceil(self.lease),
                    retries=ATTEMPTS,
                    ttl=60,
                )
        except _FAILURES as error:
            raise QueueUnavailableError("the queue of jobs does not answer; try again") from error

    async def close(self) -> None:
        for queue in self.queues.values():
            with suppress(*_FAILURES):
                await queue.disconnect()
