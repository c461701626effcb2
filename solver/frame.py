"""The solver's clock face: instants as whole minutes from an origin.

Minutes are elapsed minutes, so a visit over a clock change keeps its true length; the wall clock is
asked only where a rule speaks of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo

from schemas.units import MINUTES_PER_DAY
from schemas.windows import TimeWindow


@dataclass(frozen=True)
class Frame:
    """Maps instants to minutes from `origin` (an instant in UTC) and back."""

    origin: datetime
    zone: ZoneInfo

    @classmethod
    def starting(cls, day: date, zone: str) -> Frame:
        """The frame whose minute 0 is local midnight of `day`."""
        place = ZoneInfo(zone)
        return cls(datetime.combine(day, time(0), place).astimezone(UTC), place)

    def minute(self, instant: datetime) -> int:
        """Elapsed minutes from the origin; negative before it."""
        return round((instant.astimezone(UTC) - self.origin).total_seconds() / 60)

    def instant(self, minute: int) -> datetime:
        """The instant at `minute`, written with the local offset of that moment."""
        local = (self.origin + timedelta(minutes=minute)).astimezone(self.zone)
        return local.replace(tzinfo=timezone(local.utcoffset() or timedelta()))

    def midnight(self, day: date) -> int:
        """The minute at which a local date begins."""
        return self.minute(datetime.combine(day, time(0), self.zone))

    def clock(self, minute: int) -> int:
        """Minutes from midnight on the wall clock, at `minute`."""
        local = self.instant(minute)
        return local.hour * 60 + local.minute

    def at_clock(self, minute: int, clock: int) -> int:
        """The minute of the time of day `clock` (minutes from midnight) on the date of `minute`."""
        days, of_day = divmod(clock, MINUTES_PER_DAY)
        date_ = self.local_day(self.instant(minute)) + timedelta(days=days)
        return self.minute(datetime.combine(date_, time(of_day // 60, of_day % 60), self.zone))

    def window(self, start: int, end: int) -> TimeWindow:
        """The window `[start, end)` in minutes, as instants."""
        return TimeWindow(start=self.instant(start), end=self.instant(end))

    def span(self, window: TimeWindow) -> tuple[int, int]:
        return self.minute(window.start), self.minute(window.end)

    def local_day(self, instant: datetime) -> date:
        return instant.astimezone(self.zone).date()
