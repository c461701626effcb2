"""A request that is told twice is carried out once.

A client that heard no answer tells its request again with the same key. The answer is kept in the
transaction of the change itself, so there is never a change without its answer, nor the reverse:
the unit of work that a keyed request writes in stays open until its answer is known, and is
committed with it. After draft-ietf-httpapi-idempotency-key-header-07, sections 2.6 and 2.7.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from contextvars import ContextVar, copy_context
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, Protocol, TypeVar
from weakref import WeakValueDictionary

from api.clock import Clock
from api.services.errors import AnsweredMeanwhileError, UnprocessableError
from api.services.ports import Answer, Asked, Store, UnitOfWork
from solver.errors import Fault

KEPT_FOR = timedelta(hours=24)
HEADER = "Idempotency-Key"
T = TypeVar("T")


class Held(Protocol):
    """A unit of work that is written and not yet committed."""

    async def commit(self) -> None: ...

    async def give_up(self) -> None: ...


@dataclass
class Keeping:
    """A keyed request under way, and what it has written so far."""

    asked: Asked
    since: datetime
    unit: UnitOfWork | None = None
    held: Held | None = None
    afterwards: list[Callable[[], None]] = field(default_factory=list)
    """Called once what was written is committed."""

    async def require_fresh(self, unit: UnitOfWork) -> None:
        """Raises AnsweredMeanwhileError where the same request was carried out by now."""
        if await self.answer_in(unit) is not None:
            raise AnsweredMeanwhileError("the same request has just been carried out")

    async def answer_in(self, unit: UnitOfWork) -> Answer | None:
        """The answer that is kept. Raises UnprocessableError where it is to another request."""
        kept = await unit.answers.get(self.asked.who, self.asked.key, self.since)
        if kept is None:
            return None
        fingerprint, answer = kept
        self.require_same(fingerprint)
        return answer

    def require_same(self, fingerprint: str) -> None:
        """Raises UnprocessableError where the digest is another request's."""
        if fingerprint != self.asked.fingerprint:
            raise UnprocessableError(
                Fault(HEADER, "belongs to another request of the last day: take a new key")
            )

    def hold(self, unit: UnitOfWork, held: Held) -> None:
        """Called by the store in place of the commit."""
        self.unit, self.held = unit, held

    async def finish(self, answer: Answer, now: datetime) -> None:
        """Commit what was written with its answer; nothing where nothing was written."""
        unit, held = self.unit, self.held
        self.unit = self.held = None
        if unit is None or held is None:
            return
        try:
            await unit.answers.forget(now - KEPT_FOR)
            await unit.answers.put(self.asked, answer, now)
        except BaseException:
            await held.give_up()
            raise
        await held.commit()
        for call in self.afterwards:
            call()

    async def give_up(self) -> None:
        """Roll back what was written, if anything."""
        held = self.held
        self.unit = self.held = None
        if held is not None:
            await held.give_up()


KEEPING: ContextVar[Keeping | None] = ContextVar("keeping", default=None)
"""The keyed request of this task. What goes on after the answer must start without one."""


def once_committed(call: Callable[[], None]) -> None:
    """Call it when what this task has written is committed: now, or with the kept answer."""
    keeping = KEEPING.get()
    if keeping is None or keeping.held is None:
        call()
    else:
        keeping.afterwards.append(call)


async def apart(work: Coroutine[Any, Any, T]) -> T:
    """Do what a keyed request asks for in transactions of its own, committed at once."""
    context = copy_context()
    context.run(KEEPING.set, None)
    return await asyncio.create_task(work, context=context)


class Repeats:
    """Answers that were given, and turns of requests with one key."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock
        self._turns: WeakValueDictionary[tuple[str, str], asyncio.Lock] = WeakValueDictionary()

    def turn(self, asked: Asked) -> asyncio.Lock:
        """One request with a key at a time; other processes are met at the database."""
        return self._turns.setdefault((asked.who, asked.key), asyncio.Lock())

    def begin(self, asked: Asked) -> Keeping:
        return Keeping(asked, self.clock.now() - KEPT_FOR)

    async def answer(self, keeping: Keeping) -> Answer | None:
        """The answer to the same request. Raises UnprocessableError where it was another one."""
        async with self.store.reading() as unit:
            return await keeping.answer_in(unit)

    async def finish(self, keeping: Keeping, answer: Answer) -> None:
        await keeping.finish(answer, self.clock.now())
