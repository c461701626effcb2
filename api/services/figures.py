"""Figures of the week and of the days to come."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TypeVar

from api.clock import Clock
from api.services.day_books import Snapshot, read_snapshot
from api.services.errors import UnprocessableError
from api.services.house_rates import rates_in_force
from api.services.ledger_entries import MILLI
from api.services.opening_hours import local_day, whole_days
from api.services.ports import Store, UnitOfWork
from api.services.salon import salon_of
from api.services.shelf import known_materials
from schemas.daybook import DayBook
from schemas.dealings import BookingRecord
from schemas.hair import HairQuantity, StockLine
from schemas.reports import ChairUtilisation, HairDemand
from schemas.style import MenuEntry
from schemas.takeoff import TakeOffRequest
from schemas.units import EARLIEST_YEAR
from schemas.visit_clock import VisitClock
from schemas.week_reports import (
    IdleCauses,
    Pairing,
    StaffUtilisation,
    TurnedAway,
    TurnedAwayRecord,
    WeekTrend,
)
from solver.errors import Fault, StyleError
from solver.figures import (
    chair_utilisation,
    hair_demand,
    idle_causes,
    pairing,
    staff_utilisation,
    turned_away,
    week_trend,
)
from solver.takeoff.reckoning import take_off_with

LONGEST_SPAN_DAYS = 92
MOST_BOOKINGS = 5000
R = TypeVar("R")


class Figures:
    """Reports, each as the book stands; nothing is kept of them."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock

    async def chair_utilisation(self, week: str) -> ChairUtilisation:
        """Of one ISO week. Raises UnprocessableError for a week that its year does not have."""
        book, clocks = await self._book(monday_of(week))
        return await asyncio.to_thread(chair_utilisation, book, week, clocks)

    async def staff_utilisation(self, week: str) -> StaffUtilisation:
        return await self._of_week(week, staff_utilisation)

    async def pairing(self, week: str) -> Pairing:
        return await self._of_week(week, pairing)

    async def idle_causes(self, week: str) -> IdleCauses:
        """A hole is too short below the shortest visit of the menu, with all help it allows."""
        book, _ = await self._book(monday_of(week))
        async with self.store.reading() as unit:
            shortest, asked = await _shortest(unit), await _in_vain(unit, monday_of(week))
        return await asyncio.to_thread(idle_causes, book, week, shortest, asked)

    async def turned_away(self, week: str) -> TurnedAway:
        first = monday_of(week)
        async with self.store.reading() as unit:
            zone = (await salon_of(unit)).zone
            window = whole_days(first, first + timedelta(days=6), zone)
            asked = await unit.turned_away.during(window)
            there = await unit.bookings.page(
                window=window, status=None, after=None, limit=MOST_BOOKINGS
            )
            bookings: dict[str, BookingRecord] = {record.id: record for record in there}
            for record in asked:
                found = await unit.bookings.get(record.id)
                if found is not None:
                    bookings[record.id] = found.document
        return turned_away(week, zone, asked, bookings, self.clock.now())

    async def whole_week(self, week: str, weeks: int) -> WholeWeek:
        """All reports of a week, and the trend up to it, from one reading of the book."""
        last = monday_of(week)
        mondays = _mondays(last, weeks)
        book, clocks = await self._book(mondays[0], last + timedelta(days=6))
        async with self.store.reading() as unit:
            shortest, asked = await _shortest(unit), await _in_vain(unit, last)
        lost = await self.turned_away(week)

        def reckon() -> WholeWeek:
            return WholeWeek(
                chairs=chair_utilisation(book, week, clocks),
                people=staff_utilisation(book, week),
                pairs=pairing(book, week),
                idle=idle_causes(book, week, shortest, asked),
                lost=lost,
                trend=week_trend(book, [week_name(monday) for monday in mondays], clocks),
            )

        return await asyncio.to_thread(reckon)

    async def week_trend(self, week: str, weeks: int) -> WeekTrend:
        """The `weeks` weeks up to `week`, the oldest first."""
        last = monday_of(week)
        mondays = _mondays(last, weeks)
        book, clocks = await self._book(mondays[0], last + timedelta(days=6))
        names = [week_name(monday) for monday in mondays]
        return await asyncio.to_thread(week_trend, book, names, clocks)

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
            snapshot = await _as_the_day_began(unit, snapshot, today)
        book = snapshot.agreed.any_day_book()
        return await asyncio.to_thread(hair_demand, book, first, last, stock_as_of=today)

    async def _of_week(self, week: str, report: Callable[[DayBook, str], R]) -> R:
        book, _ = await self._book(monday_of(week))
        return await asyncio.to_thread(report, book, week)

    async def _book(
        self, first: date, last: date | None = None
    ) -> tuple[DayBook, dict[str, VisitClock]]:
        """What was agreed for these days, by default a week, and what was tapped of the visits."""
        async with self.store.reading() as unit:
            snapshot = await read_snapshot(unit, first, last or first + timedelta(days=6))
            clocks = await unit.clocks.of(record.id for record in snapshot.placed)
        return snapshot.agreed.any_day_book(), clocks


@dataclass(frozen=True)
class WholeWeek:
    """Everything that is told of one week."""

    chairs: ChairUtilisation
    people: StaffUtilisation
    pairs: Pairing
    idle: IdleCauses
    lost: TurnedAway
    trend: WeekTrend


def _mondays(last: date, weeks: int) -> list[date]:
    found = (last - timedelta(days=7 * back) for back in reversed(range(weeks)))
    return [monday for monday in found if monday.year >= EARLIEST_YEAR]


def monday_of(week: str) -> date:
    """The first day of a week written like 2026-W49."""
    year, number = week.split("-W")
    try:
        return date.fromisocalendar(int(year), int(number), 1)
    except ValueError as wrong:
        raise UnprocessableError(Fault("week", f"the year {year} has no such week")) from wrong


def week_name(day: date) -> str:
    """The ISO 8601 week that a day is in."""
    year, number, _ = day.isocalendar()
    return f"{year:04d}-W{number:02d}"


async def _in_vain(unit: UnitOfWork, monday: date) -> tuple[TurnedAwayRecord, ...]:
    """What was asked for in this week, found nothing, and is no booking."""
    window = whole_days(monday, monday + timedelta(days=6), (await salon_of(unit)).zone)
    asked = await unit.turned_away.during(window)
    return tuple([each for each in asked if await unit.bookings.get(each.id) is None])


async def _shortest(unit: UnitOfWork) -> int:
    """Minutes of the shortest visit on the menu; 0 where there is no menu."""
    rates = await rates_in_force(unit)
    materials = {material.id: material for material in await known_materials(unit)}
    entries = await unit.menu.all()

    def minutes(entry: MenuEntry) -> int | None:
        try:
            crews = take_off_with(TakeOffRequest(style=entry.style), materials, rates).crews
        except StyleError:
            return None
        most = entry.max_assistants
        return min((crew.booked for crew in crews if crew.assistants <= most), default=None)

    def shortest() -> int:
        found = (minutes(entry) for entry in entries)
        return min((each for each in found if each is not None), default=0)

    return await asyncio.to_thread(shortest)


async def _as_the_day_began(unit: UnitOfWork, snapshot: Snapshot, today: date) -> Snapshot:
    """The shelf as it lay when today began, and visits with what they took where it was weighed.

    A visit of today or later that was weighed already is off the shelf; it is put back, and is
    needed with its own grams, so that it counts once.
    """
    zone = snapshot.salon.zone
    used = await unit.ledger.used(record.id for record in snapshot.placed)
    grams: dict[str, int] = {}
    placed = []
    for planned in snapshot.placed:
        record, taken = planned, used.get(planned.id)
        if taken is not None:
            record = _weighed(planned, taken)
            if record.placed and local_day(record.placed.window.start, zone) >= today:
                named = {each.material for each in record.request.hair}
                for material, each in taken.items():
                    if material in named:
                        grams[material] = grams.get(material, 0) + each
        placed.append(record)
    lines = {line.material: line for line in snapshot.stock}
    for material, each in grams.items():
        line = lines.get(material, StockLine(material=material, on_hand_grams=0))
        told = {"on_hand_grams": line.on_hand_grams + each / MILLI}
        lines[material] = line.model_copy(update=told)
    return replace(snapshot, placed=tuple(placed), stock=tuple(lines.values()))


def _weighed(record: BookingRecord, taken: dict[str, int]) -> BookingRecord:
    hair: list[HairQuantity] = []
    for each in record.request.hair:
        if each.material in taken and not each.brought_by_client:
            hair.append(each.model_copy(update={"grams": taken[each.material] / MILLI}))
        else:
            hair.append(each)
    request = record.request.model_copy(update={"hair": tuple(hair)})
    return record.model_copy(update={"request": request})
