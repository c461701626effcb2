"""A run that this process carries out: how far it is, who watches it, and the wish to stop it.

The solver reports from a thread; all else happens in the event loop. A listener has a queue of her
own, so that one who is slow or has left holds up nobody.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import suppress

from schemas.runs import PlanProgress, PlanRun, RunState
from solver.plan import Progress

MOST_UNHEARD = 200
"""Events kept for a listener who is slow; then the oldest are lost to her, never the last."""
QUIET_SECONDS = 10.0
"""After so long without news a listener is told so, which keeps her connection alive."""


class LiveRun:
    """One run, while this process carries it out. Made in the event loop."""

    def __init__(self, name: str, heard: PlanProgress | None = None) -> None:
        """`heard` is what an attempt before this one had come to."""
        self.name = name
        self.latest = heard or PlanProgress(plan=name, state=RunState.RUNNING)
        self.stopped = asyncio.Event()
        self.begun = asyncio.Event()
        """The book is read: what it is made from does not change any more."""
        self.left = asyncio.Event()
        """This process has done with it: it has ended, or goes on elsewhere."""
        self.cancelled = False
        self.lost = False
        """Its lease has run out, and it is another's."""
        self._loop = asyncio.get_running_loop()
        self._listeners: set[asyncio.Queue[PlanProgress | None]] = set()

    def cancel(self) -> None:
        """Somebody wants it to end with the best so far."""
        self.cancelled = True
        self.stop()

    def stop(self) -> None:
        """The solver ends with the best plan so far; a run that waits for its turn ends at once."""
        self.stopped.set()

    def hear(self, progress: Progress) -> None:
        """What the solver found; for the thread that speaks with it."""
        # The loop may be gone where the service was ended by force.
        with suppress(RuntimeError):
            self._loop.call_soon_threadsafe(self._tell, _event(self.name, progress))

    def end(self, last: PlanProgress | None) -> None:
        """Over, and kept; every listener hears so as the last thing. None: it goes on elsewhere."""
        self.left.set()
        if last is not None:
            self._tell(last)
            return
        for heard in self._listeners:
            _put(heard, None)

    async def events(self) -> AsyncIterator[PlanProgress | None]:
        """How it stands, then every event until it ends here; None where there is no news."""
        heard: asyncio.Queue[PlanProgress | None] = asyncio.Queue(MOST_UNHEARD)
        self._listeners.add(heard)
        try:
            event: PlanProgress | None = self.latest
            while True:
                yield event
                if (event is not None and event.state is not RunState.RUNNING) or (
                    self.left.is_set() and heard.empty()
                ):
                    return
                try:
                    event = await asyncio.wait_for(heard.get(), QUIET_SECONDS)
                except TimeoutError:
                    event = None
        finally:
            self._listeners.discard(heard)

    def _tell(self, event: PlanProgress) -> None:
        if self.latest.state is not RunState.RUNNING:
            return
        if event.state is RunState.RUNNING and event.fraction < self.latest.fraction:
            # An attempt after the first begins anew.
            event = event.model_copy(update={"fraction": self.latest.fraction})
        self.latest = event
        for heard in self._listeners:
            _put(heard, event)


def _put(heard: asyncio.Queue[PlanProgress | None], event: PlanProgress | None) -> None:
    if heard.full():
        heard.get_nowait()
    heard.put_nowait(event)


def last_event(run: PlanRun) -> PlanProgress:
    """What a stream says of a run that has ended."""
    first = run.result.tiers[0] if run.result is not None and run.result.tiers else None
    return PlanProgress(
        plan=run.id,
        state=run.state,
        fraction=run.fraction,
        tier=None if first is None else first.name,
        value=None if first is None else first.value,
        bound=None if first is None else first.bound,
        gap=None if first is None else first.gap,
    )


def _event(name: str, progress: Progress) -> PlanProgress:
    return PlanProgress(
        plan=name,
        state=RunState.RUNNING,
        fraction=min(1.0, max(0.0, progress.fraction)),
        day=progress.day,
        tier=progress.tier,
        value=progress.value,
        bound=progress.bound,
        gap=progress.gap,
    )
