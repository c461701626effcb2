"""Figures of the week and of the days to come."""

from __future__ import annotations

import asyncio
from datetime import date, timedelta

from api.clock import Clock
from api.services.day_books import read_snapshot
from api.services.errors import UnprocessableError
from api.services.opening_hours import local_day
from api.services.ports import Store
from api.services.salon import salon_of
from schemas.reports import ChairUtilisation, HairDemand
from solver.errors import Fault
from solver.figures import chair_utilisation, hair_demand

LONGEST_SPAN_DAYS = 92


class Figures:
    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock

    async def chair_utilisation(self, week: str) -> ChairUtilisation:
        """Of one ISO week. Raises UnprocessableError for a week that its year does not have."""
        year, number = week.split("-W")
        try:
            first = date.fromisocalendar(int(year), int(number), 1)
        except ValueError as wrong:
            raise UnprocessableError(Fault("week", f"the year {year} has no such week")) from wrong
        async with self.store.reading() as unit:
            snapshot = await read_snapshot(unit, first, first + timedelta(days=6))
        return await asyncio.to_thread(chair_utilisation, snapshot.agreed.any_day_book(), week)

    async def hair_demand(self, first: date, last: date) -> HairDemand:
        """Of the days from `first` to `last`, both included, against the shelf as it is today."""
        if last < first:
            raise UnprocessableError(Fault("to", "must not be before from"))
        if (last - first).days >= LONGEST_SPAN_DAYS:
            raise UnprocessableError(Fault("to", f"at most {LONGEST_SPAN_DAYS} days at once"))
        async with self.store.reading() as unit:
            zone = (await salon_of(unit)).zone
            today = local_day(self.clock.now(), zone)
            # What is needed between today and `first` is off the shelf by then.
            snapshot = await read_snapshot(unit, min(first, today), last)
        book = snapshot.agreed.any_day_book()
        return await asyncio.to_thread(hair_demand, book, first, last, stock_as_of=today)
