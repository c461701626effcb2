"""Questions at the desk that the solver answers in seconds: aside, a few at a time.

They do not queue behind plans, which take minutes.
"""

from __future__ import annotations

import asyncio
import time
from typing import TypeVar

from api.services.aside import Aside, Call, SolverDiedError
from api.services.errors import StoreUnavailableError
from api.services.measuring import Measure, unmeasured

LONGEST_QUEUE = 10
"""Questions under way or waiting; more are refused rather than kept waiting."""
T = TypeVar("T")


class ShortSolves:
    def __init__(self, at_once: int) -> None:
        self.aside = Aside(at_once)
        self.asked = 0
        self.solved: Measure = unmeasured
        self.closing = False
        self._under_way: set[asyncio.Event] = set()

    async def ask(self, call: Call[T]) -> T:
        """What `call` gives, made aside; told to stop once nobody waits for it any more.

        Raises StoreUnavailableError where too many ask.
        """
        if self.closing or self.asked >= LONGEST_QUEUE:
            raise StoreUnavailableError("too many questions are being looked into; try again later")
        stopped = asyncio.Event()
        self._under_way.add(stopped)
        self.asked += 1
        begun = time.perf_counter()
        try:
            answer = await self.aside.ask(call, stopped)
        except SolverDiedError as died:
            raise StoreUnavailableError("the solver ended without an answer; try again") from died
        finally:
            self._under_way.discard(stopped)
            self.asked -= 1
            self.solved("question", time.perf_counter() - begun, None)
        if answer is None or self.closing:
            raise StoreUnavailableError("the service was stopped before there was an answer")
        return answer

    def close(self) -> None:
        """What is under way ends within a fraction of a second."""
        self.closing = True
        for stopped in self._under_way:
            stopped.set()
        self.aside.close()
