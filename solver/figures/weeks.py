"""An ISO week on the local clock, cut into days and hours as sets of elapsed minutes.

The week of a clock change has 167 or 169 hours; its minutes are all counted, each once, under the
hour that the wall clock showed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache

from schemas.daybook import DayBook
from schemas.windows import TimeWindow
from solver.bits import span
from solver.errors import Fault, InputError
from solver.frame import Frame

QUARTER = 15
"""Every offset in use since 2000 is a multiple of a quarter of an hour, so hours begin on one."""


@dataclass(frozen=True)
class Week:
    """Minutes from local midnight of Monday to that of the next Monday, as bits."""

    first_day: date
    last_day: date
    frame: Frame
    minutes: int
    days: dict[date, int]
    hours: dict[tuple[date, int], int]

    def bits(self, window: TimeWindow) -> int:
        """The minutes of the week that lie in `window`."""
        return self.between(window.start, window.end)

    def between(self, start: datetime, end: datetime) -> int:
        return span(self.frame.minute(start), min(self.frame.minute(end), self.minutes))


@lru_cache(maxsize=64)
def iso_week(week: str, zone: str) -> Week:
    """The week named like `2026-W49` (ISO 8601). Raises InputError where there is no such week."""
    named = re.fullmatch(r"(\d{4})-W(\d{2})", week)
    try:
        monday = date.fromisocalendar(int(named[1]), int(named[2]), 1) if named else None
    except ValueError:
        monday = None
    if monday is None or not 2000 <= monday.year < 2100:
        raise InputError(
            Fault("week", f"{week} is no ISO week between 2000 and 2099; write it like 2026-W49")
        )
    frame = Frame.starting(monday, zone)
    end = Frame.starting(monday + timedelta(days=7), zone).origin
    minutes = frame.minute(end)
    days: dict[date, int] = {}
    hours: dict[tuple[date, int], int] = {}
    for minute in range(0, minutes, QUARTER):
        local = frame.instant(minute)
        quarter = span(minute, min(minute + QUARTER, minutes))
        days[local.date()] = days.get(local.date(), 0) | quarter
        hour = (local.date(), local.hour)
        hours[hour] = hours.get(hour, 0) | quarter
    return Week(monday, monday + timedelta(days=6), frame, minutes, days, hours)


def of_week(day_book: DayBook, week: Week) -> DayBook:
    """The part of a longer book that touches the week, and a day on either side of it."""
    begin = week.frame.origin - timedelta(days=1)
    end = week.frame.instant(week.minutes) + timedelta(days=1)

    def touches(window: TimeWindow) -> bool:
        return window.start < end and begin < window.end

    return day_book.model_copy(
        update={
            "open": tuple(each for each in day_book.open if touches(each)),
            "shifts": tuple(each for each in day_book.shifts if touches(each.window)),
            "breaks": tuple(each for each in day_book.breaks if touches(each.window)),
            "bookings": tuple(
                each for each in day_book.bookings if each.placed and touches(each.placed.window)
            ),
        }
    )
