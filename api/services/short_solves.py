"""Questions at the desk that the solver answers in seconds: off the event loop, a few at a time.

They do not queue behind plans, which take minutes.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import TypeVar

from api.services.errors import StoreUnavailableError
from solver.model.progress import Stop

LONGEST_QUEUE = 10
"""Questions under way or waiting; more are refused rather than kept waiting."""
T = TypeVar("T")


class ShortSolves:
    def __init__(self, at_once: int) -> None:
        self.turn = asyncio.Semaphore(at_once)
        self.asked = 0
        self.closing = False

    async def ask(self, call: Callable[[Stop], T]) -> T:
        """What `call` gives, made in a thread. Raises StoreUnavailableError where too many ask."""
        if self.closing or self.asked >= LONGEST_QUEUE:
            raise StoreUnavailableError("too many questions are being looked into; try again later")
        self.asked += 1
        try:
            async with self.turn:
                answer = await asyncio.to_thread(call, lambda: self.closing)
        finally:
            self.asked -= 1
        if self.closing:
            raise StoreUnavailableError("the service was stopped before there was an answer")
        return answer

    def close(self) -> None:
        """What is under way ends within a fraction of a second."""
        self.closing = True
