"""What questions ask of a book besides its slots, reckoned once for each book."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from schemas.daybook import DayBook
from schemas.work import Performer
from solver.openings.raster import Raster
from solver.openings.standing import placed_visits

Halved = tuple[tuple[int, int, int], ...]
"""Starts in parts: the number of the half, the first slot, and the starts counted from there."""


def halved(starts: int, halves: list[int]) -> Iterator[tuple[int, int, int]]:
    """The starts parted where halves begin; what lies before the first or after the last is lost.

    >>> list(halved(0b110010, [1, 5, 8]))
    [(0, 1, 9), (1, 5, 1)]
    """
    while starts:
        first = (starts & -starts).bit_length() - 1
        number = bisect_right(halves, first) - 1
        here = (starts >> first) & ((1 << (halves[number + 1] - first)) - 1)
        yield number, first, here
        starts ^= here << first


@dataclass(frozen=True)
class BookFacts:
    """A book and its slots."""

    day_book: DayBook
    raster: Raster

    @cached_property
    def placed(self) -> frozenset[str]:
        """The bookings that have a place."""
        return frozenset(visit.visit for visit in placed_visits(self.day_book))

    @cached_property
    def bookings(self) -> frozenset[str]:
        """All bookings, with a place or without."""
        return frozenset(booking.id for booking in self.day_book.bookings)

    @cached_property
    def shortest_work(self) -> int | None:
        """Minutes of the shortest visit in the book."""
        visits = (*self.day_book.bookings, *self.day_book.requests)
        works = (sum(work.minutes for work in v.phases) for v in visits if v.phases)
        return min(works, default=None)

    @cached_property
    def led_work(self) -> dict[tuple[frozenset[tuple[str, int]], int], int]:
        """How many of the book's visits ask of their lead these skills for so many minutes."""
        found: dict[tuple[frozenset[tuple[str, int]], int], int] = {}
        for visit in (*self.day_book.bookings, *self.day_book.requests):
            led = [work for work in visit.phases if work.performer is Performer.LEAD]
            if led:
                skills = frozenset((work.skill, work.level) for work in led)
                key = skills, sum(work.minutes for work in led)
                found[key] = found.get(key, 0) + 1
        return found

    @cached_property
    def led_skills(self) -> frozenset[tuple[str, int]]:
        """What the leads of the book's visits have to master, at which level."""
        return frozenset(
            (work.skill, work.level)
            for visit in (*self.day_book.bookings, *self.day_book.requests)
            for work in visit.phases
            if work.performer is Performer.LEAD
        )

    @cached_property
    def halves(self) -> list[int]:
        """Where the halves of each opening day begin, in slots; the last one ends with the book."""
        return [slot for first, last in self.days for slot in (first, (first + last) // 2)] + [
            self.raster.slots
        ]

    @cached_property
    def days(self) -> list[tuple[int, int]]:
        """Each opening day from its first opening to its last closing, in slots."""
        days: dict[date, tuple[int, int]] = {}
        for window in sorted(self.day_book.open, key=lambda window: window.start):
            day = self.raster.frame.local_day(window.start)
            first, last = self.raster.inward(window)
            days[day] = (days.get(day, (first, last))[0], last)
        return list(days.values())

    @cached_property
    def clock(self) -> list[int]:
        """The local time of day at which each opening day opens, in minutes."""
        opened = (self.raster.instant(first) for first, _ in self.days)
        zone = self.raster.frame.zone
        local = (instant.astimezone(zone) for instant in opened)
        return [each.hour * 60 + each.minute for each in local]
