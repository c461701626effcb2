"""Word that the book has changed, for whoever has it open.

The revision of the book is looked at, not what this process does: another process, or the command
line, may be the one that writes.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from enum import StrEnum

from api.clock import Clock
from api.services.errors import StoreUnavailableError
from api.services.ports import Store

EVERY = 1.0
"""Seconds between two looks."""


class Word(StrEnum):
    """What is told."""

    BOOK = "book"
    """The book is another than before."""
    MINUTE = "minute"
    """A minute has begun: what shows the time is old, and a hold may be over."""


class Watching:
    def __init__(self, store: Store, clock: Clock, every: float = EVERY) -> None:
        self.store = store
        self.clock = clock
        self.every = every
        self._ended = asyncio.Event()
        self._looks: set[asyncio.Task[int | None]] = set()

    async def words(self) -> AsyncIterator[Word]:
        """Each change of the book and of the minute from now on, until the service ends."""
        revision, minute = await self._revision(), self.clock.now().replace(second=0, microsecond=0)
        while not await self._ends_within(self.every):
            found = await self._revision()
            if found is not None and found != revision:
                revision = found
                yield Word.BOOK
            begun = self.clock.now().replace(second=0, microsecond=0)
            if begun != minute:
                minute = begun
                yield Word.MINUTE

    def close(self) -> None:
        self._ended.set()

    async def _ends_within(self, seconds: float) -> bool:
        try:
            await asyncio.wait_for(self._ended.wait(), seconds)
        except TimeoutError:
            return False
        return True

    async def _revision(self) -> int | None:
        """None while the database does not answer: the stream outlives that.

        Whoever watches may leave at any instant; a look that has begun is finished all the same,
        so that its connection goes back whole.
        """
        look = asyncio.ensure_future(self._look())
        self._looks.add(look)
        look.add_done_callback(self._looks.discard)
        return await asyncio.shield(look)

    async def _look(self) -> int | None:
        try:
            async with self.store.reading() as unit:
                return unit.revision
        except StoreUnavailableError:
            return None
