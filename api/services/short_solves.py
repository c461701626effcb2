"""Questions at the desk that the solver answers in seconds: off the event loop, a few at a time.

They do not queue behind plans, which take minutes.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Event
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
        """What `call` gives, made in a thread; told to stop once nobody waits for it any more.

        Raises StoreUnavailableError where too many ask.
        """
        left = Event()

        def over() -> bool:
            return self.closing or left.is_set()

        if self.closing or self.asked >= LONGEST_QUEUE:
            raise StoreUnavailableError("too many questions are being looked into; try again later")
        self.asked += 1
        try:
            async with self.turn:
                self._require_open()
                loop = asyncio.get_running_loop()
                answer = await loop.run_in_executor(self.threads, call, over)
                self._require_open()
                return answer
        finally:
            left.set()
            self.asked -= 1

    def close(self) -> None:
        """What is under way ends within a fraction of a second."""
        self.closing = True
        self.threads.shutdown(wait=False)

    def _require_open(self) -> None:
        if self.closing:
            raise StoreUnavailableError("the service was stopped before there was an answer")
