"""Confirmed bookings that no plan of this day book could ever hold, by one fact alone.

Only what no change of the plan could mend is a fault: a skill nobody has, a start at which nobody
is in. Whether all promises hold together is the solver's question, and "no" is one of its answers.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from schemas.booking import Booking, BookingStatus
from schemas.daybook import DayBook
from schemas.windows import TimeWindow
from schemas.work import Place
from solver.errors import Fault
from solver.rules.reading import Span, minute, span


def promise_faults(day_book: DayBook) -> Iterator[Fault]:
    opening = _Spans(day_book.open)
    shifts = _Spans(shift.window for shift in day_book.shifts)
    best: dict[str, int] = {}
    for person in day_book.staff:
        for skill in person.skills:
            best[skill.tag] = max(best.get(skill.tag, 0), skill.level)
    features = {feature for chair in day_book.chairs for feature in chair.features}
    for index, booking in enumerate(day_book.bookings):
        if booking.status is BookingStatus.CONFIRMED:
            pointer = f"/bookings/{index}"
            yield from _start(pointer, booking, opening, shifts)
            yield from _work(pointer, booking, best, day_book)
            for number, feature in enumerate(booking.chair_features):
                if feature not in features:
                    yield Fault(
                        f"{pointer}/chair_features/{number}",
                        f"no chair of this day book: {feature}",
                    )


class _Spans:
    """Windows merged where they touch or overlap, to ask what a stretch of time meets."""

    def __init__(self, windows: Iterable[TimeWindow]) -> None:
        self.merged: list[Span] = []
        for start, end in sorted(span(window) for window in windows):
            if self.merged and start <= self.merged[-1][1]:
                self.merged[-1] = self.merged[-1][0], max(self.merged[-1][1], end)
            else:
                self.merged.append((start, end))

    def meets(self, first: int, last: int) -> bool:
        """Whether an instant from `first` to `last`, both included, lies in one of the windows."""
        return any(start <= last and first < end for start, end in self.merged)


def _start(pointer: str, booking: Booking, opening: _Spans, shifts: _Spans) -> Iterator[Fault]:
    promise = booking.promise
    start = minute(promise.start)
    first, last = start - promise.tolerance, start + promise.tolerance
    where = f"{pointer}/promise/start"
    if not opening.meets(first, last):
        yield Fault(where, f"{booking.id} is promised a start outside every opening window")
    elif not shifts.meets(first, last):
        yield Fault(where, f"{booking.id} is promised a start outside every shift")
    if promise.latest_finish is not None and minute(promise.latest_finish) <= first:
        yield Fault(
            f"{pointer}/promise/latest_finish", f"{booking.id} would end before it could start"
        )


def _work(
    pointer: str, booking: Booking, best: dict[str, int], day_book: DayBook
) -> Iterator[Fault]:
    for number, phase in enumerate(booking.phases):
        where = f"{pointer}/phases/{number}"
        if phase.skill not in best:
            yield Fault(f"{where}/skill", f"nobody of this day book masters {phase.skill}")
        elif best[phase.skill] < phase.level:
            yield Fault(
                f"{where}/level",
                f"nobody masters {phase.skill} at level {phase.level}; the best has "
                f"{best[phase.skill]}",
            )
        if phase.place is Place.BASIN and not day_book.basins:
            yield Fault(f"{where}/place", "this day book has no basin")
        if phase.place is Place.CHAIR and not day_book.chairs:
            yield Fault(f"{where}/place", "this day book has no chair")
