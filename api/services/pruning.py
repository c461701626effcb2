"""Old plans and repairs, which nobody reads any more, are dropped after some time.

What they wrote into the book stays, and so does the record of it.
"""

from __future__ import annotations

import asyncio
import logging
from datetime import timedelta

from api.clock import Clock
from api.services.background import Background
from api.services.errors import ServiceError
from api.services.ports import Store

_log = logging.getLogger("partline.pruning")
EVERY = 3600.0
FIRST = 30.0
"""Seconds after the start of the service, which has more urgent things to do then."""


class Pruner(Background):
    """`days` is how long runs are kept."""

    def __init__(self, store: Store, clock: Clock, days: int) -> None:
        super().__init__()
        self.store = store
        self.clock = clock
        self.kept = timedelta(days=days)

    async def prune(self) -> int:
        """Drop what ended longer ago than that; how much it was."""
        async with self.store.writing() as unit:
            return await unit.prune(self.clock.now() - self.kept)

    async def _run(self) -> None:
        pause = FIRST
        while True:
            await asyncio.sleep(pause)
            pause = EVERY
            try:
                _log.info("%d old runs were dropped", await self.prune())
            except ServiceError as error:
                _log.warning("old runs could not be dropped", exc_info=error)
