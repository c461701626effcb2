"""No more requests of one caller in a minute than the setting allows.

Counted in this process, or in Redis for all processes together; while Redis does not answer, each
process counts for itself, since a book that cannot be counted is still to be kept.
"""

from __future__ import annotations

import asyncio
import logging
import math
import time
from typing import Any

from limits import RateLimitItemPerMinute
from limits.aio.storage import MemoryStorage, RedisStorage
from limits.aio.strategies import MovingWindowRateLimiter
from limits.errors import StorageError

from api.clock import SystemClock
from api.services.errors import TooManyError
from schemas.health import Part

PATIENCE = 0.5
"""Seconds that Redis has to answer."""
PAUSE = 5.0
"""Seconds for which it is not asked again after it did not."""
_log = logging.getLogger("partline.throttle")


class Throttle:
    """Of one salon; `per_minute` of 0 counts nothing."""

    def __init__(self, salon: str, per_minute: int, redis: str | None = None) -> None:
        self.limit = RateLimitItemPerMinute(per_minute) if per_minute else None
        self._here = MovingWindowRateLimiter(MemoryStorage())
        self._pool: Any = None
        self._shared: MovingWindowRateLimiter | None = None
        self._pause_until = 0.0
        if redis is not None:
            self._pool = _pool(redis)
            storage = RedisStorage(
                f"async+{redis}",
                wrap_exceptions=True,
                implementation="redispy",
                key_prefix=f"partline:{salon}:asked",
                connection_pool=self._pool,
            )
            self._shared = MovingWindowRateLimiter(storage)

    async def require(self, who: str) -> None:
        """Raises TooManyError, with the seconds to wait, where `who` has asked too often."""
        if self.limit is None:
            return
        if self._shared is not None and time.monotonic() >= self._pause_until:
            try:
                await asyncio.wait_for(self._require(self._shared, who), 2 * PATIENCE)
                return
            except (StorageError, TimeoutError) as silent:
                self._pause_until = time.monotonic() + PAUSE
                _log.warning("no Redis counts requests: %s", type(silent).__name__)
        await self._require(self._here, who)

    async def _require(self, limiter: MovingWindowRateLimiter, who: str) -> None:
        assert self.limit is not None
        if not await limiter.hit(self.limit, who):
            free_at = (await limiter.get_window_stats(self.limit, who)).reset_time
            left = math.ceil(free_at - SystemClock().now().timestamp())
            raise TooManyError(self.limit.amount, max(1, left))

    async def check(self) -> Part:
        """Asks Redis now, with the patience of a request."""
        try:
            async with asyncio.timeout(2 * PATIENCE):
                well = self._shared is not None and await self._shared.storage.check()
        except TimeoutError:
            well = False
        told = "counts requests" if well else "does not answer: each process counts for itself"
        return Part(name="redis", well=well, detail=told)

    async def close(self) -> None:
        if self._pool is not None:
            await self._pool.disconnect()


def _pool(url: str) -> Any:
    """No second tries within: they wait, and this process can count for itself."""
    from redis.asyncio import ConnectionPool  # noqa: PLC0415  # an extra, needed only here
    from redis.asyncio.retry import Retry  # noqa: PLC0415
    from redis.backoff import NoBackoff  # noqa: PLC0415

    return ConnectionPool.from_url(
        url,
        socket_timeout=PATIENCE,
        socket_connect_timeout=PATIENCE,
        retry=Retry(NoBackoff(), 0),
    )
