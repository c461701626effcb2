"""A plan under way: how far it is, who watches it, and the wish to stop it.

The solver reports from its own thread; all else happens in the event loop. A listener has a queue
of its own, so that one who is slow or has left holds up nobody.
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
    """One run, from its order to its end. Made in the event loop."""

    def __init__(self, run: PlanRun) -> None:
        self.run = run
        self.latest = PlanProgress(plan=run.id, state=RunState.RUNNING)
        self.stopped = asyncio.Event()
        self.ended: asyncio.Future[PlanRun] = asyncio.get_running_loop().create_future()
        self._loop = asyncio.get_running_loop()
        self._listeners: set[asyncio.Queue[PlanProgress]] = set()
        self._stop = False

    @property
    def so_far(self) -> PlanRun:
        """The run as it stands."""
        return self.run.model_copy(update={"fraction": self.latest.fraction})

    def stop(self) -> None:
        """The solver ends with the best plan so far; a run that waits for its turn ends at once."""
        self._stop = True
        self.stopped.set()

    def is_stopped(self) -> bool:
        """For the solver's thread."""
        return self._stop

    def hear(self, progress: Progress) -> None:
        """What the solver found; for the solver's thread."""
        # The loop may be gone where the service was ended by force.
        with suppress(RuntimeError):
            self._loop.call_soon_threadsafe(self._tell, _event(self.run.id, progress))

    def end(self, run: PlanRun) -> None:
        """The run is over and kept; every listener hears so as the last thing."""
        self._tell(last_event(run))
        if not self.ended.done():
            self.ended.set_result(run)

    async def events(self) -> AsyncIterator[PlanProgress | None]:
        """How it stands, then every event until the last; None after a while without news."""
        heard: asyncio.Queue[PlanProgress] = asyncio.Queue(MOST_UNHEARD)
        self._listeners.add(heard)
        try:
            event: PlanProgress | None = self.latest
            while True:
                yield event
                if event is not None and event.state is not RunState.RUNNING:
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
        self.latest = event
        for heard in self._listeners:
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


async def only(event: PlanProgress) -> AsyncIterator[PlanProgress | None]:
    """The stream of a run that had ended before anybody listened."""
    yield event


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
