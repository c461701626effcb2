"""Part a day book into days that can be planned by themselves.

A day is one opening window; windows that a single shift touches belong together, as when a salon
shuts at noon. A shift goes to the day it shares most time with, a booking to the day of its
promise. A request whose windows touch several days is offered to each of them in turn, earliest
first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import timedelta

from schemas.booking import Booking, BookingStatus, Request
from schemas.daybook import DayBook
from schemas.resources import Shift
from schemas.windows import TimeWindow


@dataclass
class DayPart:
    """The openings, shifts and visits of one day; `requests` may be on offer elsewhere too."""

    openings: list[TimeWindow]
    shifts: list[Shift] = field(default_factory=list)
    bookings: list[Booking] = field(default_factory=list)
    requests: list[Request] = field(default_factory=list)

    @property
    def visits(self) -> tuple[Booking | Request, ...]:
        return (*self.bookings, *self.requests)

    def distance(self, window: TimeWindow) -> timedelta:
        """Zero where the window touches an opening, else the time between them."""
        return min(
            max(window.start - opening.end, opening.start - window.end, timedelta())
            for opening in self.openings
        )

    def touches(self, window: TimeWindow) -> bool:
        return any(opening.overlaps(window) for opening in self.openings)


def part_days(day_book: DayBook) -> list[DayPart]:
    """The days in order of time, each with what belongs to it."""
    parts = _openings(day_book)
    for shift in day_book.shifts:
        max(parts, key=lambda part: _shared(part, shift.window)).shifts.append(shift)
    for booking in day_book.bookings:
        if booking.status is not BookingStatus.CANCELLED:
            _day_of_promise(parts, booking).bookings.append(booking)
    for request in day_book.requests:
        for part in parts:
            if any(part.touches(window) for window in request.windows):
                part.requests.append(request)
    return parts


def _openings(day_book: DayBook) -> list[DayPart]:
    """Opening windows in order, those that one shift touches taken together."""
    parts: list[DayPart] = []
    for opening in sorted(day_book.open, key=lambda window: window.start):
        bridged = parts and any(
            shift.window.overlaps(opening) and parts[-1].touches(shift.window)
            for shift in day_book.shifts
        )
        if bridged:
            parts[-1].openings.append(opening)
        else:
            parts.append(DayPart([opening]))
    return parts


def _shared(part: DayPart, window: TimeWindow) -> timedelta:
    """Time the window shares with the day's openings; negative is how far away it lies."""
    shared = sum(
        (
            max(min(window.end, opening.end) - max(window.start, opening.start), timedelta())
            for opening in part.openings
        ),
        timedelta(),
    )
    return shared or -part.distance(window)


def _day_of_promise(parts: Sequence[DayPart], booking: Booking) -> DayPart:
    promised = TimeWindow(
        start=booking.promise.start, end=booking.promise.start + timedelta(minutes=1)
    )
    return min(parts, key=lambda part: part.distance(promised))
