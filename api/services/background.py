"""Work that a service does beside its requests, from its start to its end."""

from __future__ import annotations

import asyncio
from abc import ABC, abstractmethod
from contextlib import suppress


class Background(ABC):
    """One task that runs until it is closed; each service has its own."""

    def __init__(self) -> None:
        self._task: asyncio.Task[None] | None = None

    def start(self) -> None:
        self._task = asyncio.create_task(self._run())

    async def close(self) -> None:
        if self._task is not None:
            self._task.cancel()
            with suppress(asyncio.CancelledError):
                await self._task

    @abstractmethod
    async def _run(self) -> None:
        """Everything, again and again."""
