"""What every open minute of a chair was used for.

`open = hands_on + waiting + turnaround + idle`, each minute under one heading only. Judged from the
raw times of visits, phases and breaks; what a break says of the visit it lies in is not asked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta

from schemas.booking import Booking, BookingStatus
from schemas.daybook import DayBook
from schemas.plan import PlannedVisit
from schemas.resources import Chair
from schemas.visit_clock import VisitClock
from schemas.windows import TimeWindow
from schemas.work import Place
from solver.figures.weeks import Week
from solver.rules import settings_in_force


@dataclass(frozen=True)
class ChairUse:
    """Minutes of one chair in one week, as bits.

    `open` and `closed` never overlap, nor do `hands_on`, `waiting` and `turnaround` as planned, nor
    `present` and `cleaned` as it came about.
    """

    open: int
    closed: int
    hands_on: int
    waiting: int
    turnaround: int
    present: int
    cleaned: int

    @property
    def idle(self) -> int:
        """Open minutes for which nothing is planned."""
        return self.open & ~(self.hands_on | self.waiting | self.turnaround)


def placed_bookings(day_book: DayBook) -> Iterator[tuple[Booking, PlannedVisit]]:
    """Bookings that stand in the book with a place."""
    for booking in day_book.bookings:
        if booking.placed is not None and booking.status is not BookingStatus.CANCELLED:
            yield booking, booking.placed


def cleaning_minutes(day_book: DayBook) -> dict[str, int]:
    """Minutes of cleaning that the rule in force asks for, by chair; none without the rule."""
    minutes: dict[str, int] = {}
    for setting in settings_in_force(day_book):
        if setting.code != "turnaround":
            continue
        tags = set(setting.scope.chair_tags)
        for chair in day_book.chairs:
            if not tags or tags & set(chair.tags):
                minutes.setdefault(chair.id, int(setting.parameters.get("minutes", 10)))
    return minutes


def clocked_window(visit: PlannedVisit, clocks: Mapping[str, VisitClock]) -> TimeWindow | None:
    """From start to finish by the clock; none where one of them was not tapped."""
    clock = clocks.get(visit.visit)
    if clock is None or clock.started is None or clock.finished is None:
        return None
    return TimeWindow(start=clock.started, end=clock.finished)


def chair_uses(
    day_book: DayBook, week: Week, clocks: Mapping[str, VisitClock] | None = None
) -> list[tuple[Chair, ChairUse]]:
    """How the open minutes of every chair were used in `week`."""
    cleaning = cleaning_minutes(day_book)
    return [
        (chair, _use(day_book, chair, week, clocks or {}, cleaning.get(chair.id, 0)))
        for chair in day_book.chairs
    ]


def _use(
    day_book: DayBook,
    chair: Chair,
    week: Week,
    clocks: Mapping[str, VisitClock],
    cleaning: int,
) -> ChairUse:
    hours = closed = 0
    if not chair.retired:
        for window in day_book.open:
            hours |= week.bits(window)
        for closure in day_book.closures:
            if closure.chair == chair.id:
                closed |= week.bits(closure.window)
    is_open = hours & ~closed
    taken = hands = cleaned = present = cleaned_then = 0
    for booking, visit in placed_bookings(day_book):
        if visit.chair != chair.id:
            continue
        taken |= week.bits(visit.window)
        hands |= _hands_on(day_book, booking, visit, week)
        cleaned |= _turnaround(day_book, visit.window, cleaning, week)
        actual = clocked_window(visit, clocks) or visit.window
        present |= week.bits(actual)
        cleaned_then |= _turnaround(day_book, actual, cleaning, week)
    hands &= taken & is_open
    return ChairUse(
        open=is_open,
        closed=hours & closed,
        hands_on=hands,
        waiting=taken & is_open & ~hands,
        turnaround=cleaned & is_open & ~taken,
        present=present & is_open,
        cleaned=cleaned_then & is_open & ~present,
    )


def _hands_on(day_book: DayBook, booking: Booking, visit: PlannedVisit, week: Week) -> int:
    """Minutes in which somebody works on the client: performers outside their breaks, and help."""
    at_work = 0
    works = booking.phases if len(booking.phases) == len(visit.phases) else ()
    for index, phase in enumerate(visit.phases):
        if works and works[index].place is Place.NOWHERE:
            continue  # hair is prepared at the side table: nobody works on the client
        performing = week.bits(phase.window)
        for pause in day_book.breaks:
            if pause.staff == phase.performer and pause.window.overlaps(phase.window):
                performing &= ~week.bits(pause.window)
        at_work |= performing
        for help_ in phase.help:
            at_work |= week.bits(help_.window)
    return at_work


def _turnaround(day_book: DayBook, stay: TimeWindow, minutes: int, week: Week) -> int:
    end = stay.end
    for window in day_book.open:
        if window.start < end <= window.end:
            return week.between(end, min(end + timedelta(minutes=minutes), window.end))
    return 0
