"""Questions at the desk that the solver answers in seconds: off the event loop, a few at a time.

They do not queue behind plans, which take minutes.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from api.services.errors import StoreUnavailableError
from solver.model.progress import Stop

LONGEST_QUEUE = 10
"""Questions under way or waiting; more are refused rather than kept waiting."""
T = TypeVar("T")


class ShortSolves:
    def __init__(self, at_once: int) -> None:
        self.turn = asyncio.Semaphore(at_once)
        # Threads of its own: those of the loop answer the short questions of everybody else.
        self.threads = ThreadPoolExecutor(at_once, thread_name_prefix="short-solve")
        self.asked = 0
        self.closing = False

    async def ask(self, call: Callable[[Stop], T]) -> T:
        """What `call` gives, made in a thread. Raises StoreUnavailableError where too many ask."""
        if self.closing or self.asked >= LONGEST_QUEUE:
            raise StoreUnavailableError("too many questions are being looked into; try again later")
        self.asked += 1
        try:
            async with self.turn:
                self._require_open()
                loop = asyncio.get_running_loop()
                answer = await loop.run_in_executor(self.threads, call, self._is_closing)
                self._require_open()
                return answer
        finally:
            self.asked -= 1

    def close(self) -> None:
        """What is under way ends within a fraction of a second."""
        self.closing = True
        self.threads.shutdown(wait=False)

    def _is_closing(self) -> bool:
        return self.closing

    def _require_open(self) -> None:
        if self.closing:
            raise StoreUnavailableError("the service was stopped before there was an answer")
