"""Instants on the salon's grid, which counts from local midnight."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from schemas.daybook import DayBook
from schemas.windows import TimeWindow


def grid_before(book: DayBook, instant: datetime) -> datetime:
    """The last step of the grid at or before an instant."""
    local = instant.astimezone(ZoneInfo(book.zone))
    past = (local.hour * 60 + local.minute) % book.grid.minutes
    return instant - timedelta(minutes=past)


def grid_after(book: DayBook, instant: datetime) -> datetime:
    """The first step of the grid at or after an instant."""
    before = grid_before(book, instant)
    return before if before == instant else before + timedelta(minutes=book.grid.minutes)


def minutes_between(first: datetime, last: datetime) -> int:
    """Elapsed minutes; both carry fixed offsets, so no clock change is lost."""
    return round((last - first).total_seconds() / 60)


def shifted(window: TimeWindow, minutes: int) -> TimeWindow:
    """The window with its end moved."""
    return TimeWindow(start=window.start, end=window.end + timedelta(minutes=minutes))
