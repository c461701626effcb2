"""Requests that found no opening, noted so that the owner sees the demand she could not serve."""

from __future__ import annotations

from api.clock import Clock
from api.services.callers import CALLER, Role
from api.services.ports import Store
from schemas.booking import Request
from schemas.openings import OpeningsAnswer
from schemas.week_reports import TurnedAwayRecord

MOST_OBSTACLES = 12


class RefusalsNoted:
    """Nothing is kept of who she is: no name, and nothing of what she said but what she wants."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock

    async def note(self, asked: Request, answer: OpeningsAnswer, minutes: int) -> None:
        """One record for each request, however often it is asked in vain.

        What somebody asks who may only look is not demand, and not noted.
        """
        if answer.openings or CALLER.get().role is Role.READ_ONLY:
            return
        async with self.store.writing() as unit:
            if await unit.bookings.get(asked.id) is not None:
                return  # It waits for a place: the waiting list knows it.
            before = await unit.turned_away.get(asked.id)
            await unit.turned_away.put(
                TurnedAwayRecord(
                    id=asked.id,
                    asked_at=self.clock.now().replace(second=0, microsecond=0),
                    windows=asked.windows,
                    technique=None if asked.take_off is None else asked.take_off.style.technique,
                    minutes=minutes,
                    obstacles=answer.obstacles[:MOST_OBSTACLES],
                    times=1 if before is None else before.document.times + 1,
                )
            )
