"""The salon's week, laid over the calendar: opening hours as windows of true time.

Hours are readings of the salon's clock, so a window may be an hour shorter or longer on the day the
clock changes. A reading that the clock skips is taken with the offset before the change (PEP 495,
fold 0).
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo

from schemas.salon import Hours, Salon, minute_of_day
from schemas.windows import TimeWindow


def local_instant(day: date, minutes: int, zone: str) -> datetime:
    """When the clock of `zone` reads `minutes` after midnight of `day`; 1440 is the next midnight.

    The answer has a fixed offset, so that differences are true lengths.
    """
    place = ZoneInfo(zone)
    days, rest = divmod(minutes, 1440)
    reading = time(rest // 60, rest % 60)
    utc = datetime.combine(day + timedelta(days=days), reading, place).astimezone(UTC)
    local = utc.astimezone(place)
    return local.replace(tzinfo=timezone(local.utcoffset() or timedelta()))


def hours_of(salon: Salon, day: date) -> Hours | None:
    """The hours of a date: its own if it is a special day, else those of its weekday."""
    for special in salon.special_days:
        if special.date == day:
            return special.hours
    for weekly in salon.hours:
        if weekly.weekday == day.isoweekday():
            return weekly
    return None


def window_of(salon: Salon, day: date) -> TimeWindow | None:
    """When the salon is open on `day`; None where it is closed."""
    hours = hours_of(salon, day)
    if hours is None:
        return None
    opens = local_instant(day, minute_of_day(hours.opens), salon.zone)
    closes = local_instant(day, minute_of_day(hours.closes), salon.zone)
    # Hours that lie wholly inside the hour which the clock skips are no hours at all.
    return TimeWindow(start=opens, end=closes) if opens < closes else None


def windows(salon: Salon, first: date, last: date) -> tuple[TimeWindow, ...]:
    """The opening windows of the days from `first` to `last`, both included."""
    found = (window_of(salon, day) for day in days(first, last))
    return tuple(window for window in found if window is not None)


def days(first: date, last: date) -> Iterator[date]:
    return (first + timedelta(days=number) for number in range((last - first).days + 1))


def whole_days(first: date, last: date, zone: str) -> TimeWindow:
    """From the midnight before `first` to the midnight after `last`, by the salon's clock."""
    return TimeWindow(start=local_instant(first, 0, zone), end=local_instant(last, 1440, zone))


def local_day(instant: datetime, zone: str) -> date:
    return instant.astimezone(ZoneInfo(zone)).date()
