"""The days of a book as a row of slots, and the bit sets that the clock draws on it.

A slot is as long as the grid wherever the grid divides the day and every change of the clocks, one
minute otherwise. New visits and breaks keep the grid, so what is taken may be rounded outwards and
what is open inwards without losing or inventing a place.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from itertools import pairwise
from zoneinfo import ZoneInfo

from schemas.daybook import DayBook
from schemas.units import MINUTES_PER_DAY
from schemas.windows import TimeWindow
from solver.bits import span
from solver.frame import Frame

QUARTER = 15
"""Offsets from UTC change on a quarter of an hour, by whole quarters (true since 2000)."""
EVERYWHERE = -1
"""All slots, in two's complement: ANDed with a set it leaves the set."""


@dataclass(frozen=True)
class Raster:
    """Slots of `unit` minutes from a local midnight on; slot 0 begins at `frame.origin`."""

    frame: Frame
    unit: int
    slots: int
    step: int
    """Slots in one step of the grid."""
    arrive_every: int
    """Minutes between arrivals, on the local clock."""
    instants: dict[int, datetime] = field(default_factory=dict, compare=False)
    """By slot, when it begins, as far as it was asked."""

    @classmethod
    def of(cls, day_book: DayBook) -> Raster:
        windows = [*day_book.open, *(shift.window for shift in day_book.shifts)]
        first = min(window.start for window in windows)
        last = max(window.end for window in windows)
        frame = Frame.starting(first.astimezone(ZoneInfo(day_book.zone)).date(), day_book.zone)
        minutes = frame.minute(last)
        grid = day_book.grid.minutes
        even = MINUTES_PER_DAY % grid == 0 and all(
            change % grid == 0 for change in _clock_changes(frame, minutes)
        )
        unit = grid if even else 1
        return cls(frame, unit, -(-minutes // unit), grid // unit, day_book.grid.arrivals)

    def outward(self, window: TimeWindow) -> tuple[int, int]:
        """The slots that `window` touches."""
        start, end = self.frame.span(window)
        return start // self.unit, -(-end // self.unit)

    def inward(self, window: TimeWindow) -> tuple[int, int]:
        """The slots that lie wholly in `window`."""
        start, end = self.frame.span(window)
        return -(-start // self.unit), end // self.unit

    def taken(self, windows: Iterable[TimeWindow]) -> int:
        bits = 0
        for window in windows:
            start, end = self.outward(window)
            bits |= span(start, min(end, self.slots))
        return bits

    def ceil(self, minutes: int) -> int:
        """Slots for so many minutes, rounded up to the grid."""
        grid = self.unit * self.step
        return -(-minutes // grid) * self.step

    def instant(self, slot: int) -> datetime:
        known = self.instants.get(slot)
        if known is None:
            known = self.instants[slot] = self.frame.instant(slot * self.unit)
        return known

    def window(self, start: int, end: int) -> TimeWindow:
        """The window of slots; `start < end`."""
        # Built of instants of our own in their order: there is nothing to validate.
        return TimeWindow.model_construct(start=self.instant(start), end=self.instant(end))

    @cached_property
    def on_grid(self) -> int:
        """Slots whose local time of day is a multiple of the grid, the book's end among them."""
        if self.step == 1 and self.unit > 1:
            return EVERYWHERE
        return self._clock(self.step * self.unit, self.slots + 1)

    @cached_property
    def arrivals(self) -> int:
        """Slots at which a client may arrive."""
        return self._clock(self.arrive_every, self.slots)

    def _clock(self, every: int, slots: int) -> int:
        marks: list[str] = []
        for start, end, offset in _offsets(self.frame, slots * self.unit):
            marks += (
                "0" if (minute + offset) % MINUTES_PER_DAY % every else "1"
                for minute in range(start, end, self.unit)
            )
        return int("".join(reversed(marks)), 2)


def _offset(frame: Frame, minute: int) -> int:
    """Minutes that the local clock is ahead of the minutes since the frame's local midnight."""
    local = frame.instant(minute)
    shown = datetime.combine(local.date(), local.time()) - datetime.combine(
        frame.instant(0).date(), frame.instant(0).time()
    )
    return round(shown.total_seconds() / 60) - minute


def _offsets(frame: Frame, minutes: int) -> list[tuple[int, int, int]]:
    """Stretches `(start, end, offset)` of one offset each that cover the minutes from 0 on."""
    stretches: list[tuple[int, int, int]] = []
    begun, current = 0, _offset(frame, 0)
    for day in range(0, minutes, MINUTES_PER_DAY):
        if _offset(frame, day + MINUTES_PER_DAY) == _offset(frame, day) == current:
            continue
        for minute in range(day, min(day + MINUTES_PER_DAY, minutes), QUARTER):
            offset = _offset(frame, minute)
            if offset != current:
                stretches.append((begun, minute, current))
                begun, current = minute, offset
    stretches.append((begun, minutes, current))
    return stretches


def _clock_changes(frame: Frame, minutes: int) -> list[int]:
    offsets = [offset for _, _, offset in _offsets(frame, minutes)]
    return [after - before for before, after in pairwise(offsets)]
