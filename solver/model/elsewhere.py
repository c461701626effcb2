"""What people do on other days of the book, as the rules on hours see it from one day.

Days are planned in order of time: what earlier days gave is fixed, and bookings that have a place
on a later day are expected to keep it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from schemas.booking import BookingStatus
from schemas.daybook import DayBook
from schemas.plan import BreakKind, Plan, PlannedBreak, PlannedVisit
from schemas.windows import TimeWindow
from solver.frame import Frame
from solver.model.facts import Elsewhere


def earlier(frame: Frame, plans: Iterable[Plan]) -> Iterator[Elsewhere]:
    """The work and the rest breaks of days that are planned."""
    for plan in plans:
        for visit in plan.visits:
            yield from _handwork(frame, visit, plan.breaks)
        for each in plan.breaks:
            if each.kind is BreakKind.REST:
                yield Elsewhere(each.staff, *frame.span(each.window), handwork=False, later=False)


def later(frame: Frame, day_book: DayBook, last: TimeWindow) -> Iterator[Elsewhere]:
    """The work of confirmed bookings that have a place after the opening window `last`."""
    for booking in day_book.bookings:
        if booking.placed is None or booking.status is not BookingStatus.CONFIRMED:
            continue
        if booking.placed.window.start >= last.end:
            yield from _handwork(frame, booking.placed, day_book.breaks, later=True)


def _handwork(
    frame: Frame, visit: PlannedVisit, breaks: Iterable[PlannedBreak], *, later: bool = False
) -> Iterator[Elsewhere]:
    """Phases less the performer's breaks inside them, and help."""
    inside = [each for each in breaks if each.inside == visit.visit]
    for phase in visit.phases:
        at, end = frame.span(phase.window)
        for each in sorted(inside, key=lambda each: each.window.start):
            first, last = frame.span(each.window)
            if each.staff == phase.performer and at <= first and last <= end:
                if at < first:
                    yield Elsewhere(phase.performer, at, first, handwork=True, later=later)
                at = last
        if at < end:
            yield Elsewhere(phase.performer, at, end, handwork=True, later=later)
        for help_ in phase.help:
            yield Elsewhere(help_.staff, *frame.span(help_.window), handwork=True, later=later)
