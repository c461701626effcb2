"""How a checker reads a day book and a plan: names, true minutes, sentences.

Instants become whole minutes since 1970-01-01T00:00Z, so lengths are true across a clock change.
The wall clock of the salon is asked only to speak to people and for the grid. A plan may be damaged
in any way the documents allow: an id nobody knows is named as it stands, never looked up blindly.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from schemas.booking import Booking, BookingStatus, Request
from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedBreak, PlannedPhase, PlannedVisit
from schemas.resources import Basin, Chair, Shift, StaffMember
from schemas.windows import TimeWindow
from schemas.work import PhaseWork
from solver.rules.duty import time_on_duty
from solver.rules.minutes import Span, minute, span

LONGEST_NAME = 48
"""Characters of a name in a sentence; longer names are cut so that the times stay readable."""
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)

AnyVisit = Booking | Request


def covered(spans: list[Span]) -> int:
    """Minutes in the union of the spans: a break written down twice counts once.

    >>> covered([(0, 30), (10, 40), (60, 70)])
    50
    """
    total, reached = 0, None
    for start, end in sorted(spans):
        begin = start if reached is None else max(start, reached)
        if end > begin:
            total += end - begin
            reached = end
    return total


@dataclass(frozen=True, slots=True)
class Rest:
    """A planned break in minutes, `[start, end)`."""

    start: int
    end: int
    planned: PlannedBreak


class Reading:
    """A day book and a plan side by side, with the words for people."""

    def __init__(self, day_book: DayBook, plan: Plan) -> None:
        self.day_book = day_book
        self.plan = plan
        self.zone = ZoneInfo(day_book.zone)
        self._occupied: dict[int, Span] = {}
        """By identity of a planned visit; the plan keeps it alive."""

    @cached_property
    def staff(self) -> dict[str, StaffMember]:
        return {person.id: person for person in self.day_book.staff}

    @cached_property
    def chairs(self) -> dict[str, Chair]:
        return {chair.id: chair for chair in self.day_book.chairs}

    @cached_property
    def basins(self) -> dict[str, Basin]:
        return {basin.id: basin for basin in self.day_book.basins}

    @cached_property
    def visits(self) -> dict[str, AnyVisit]:
        both: tuple[AnyVisit, ...] = (*self.day_book.bookings, *self.day_book.requests)
        return {visit.id: visit for visit in both}

    @cached_property
    def placed(self) -> dict[str, list[PlannedVisit]]:
        """Every place the plan gives a visit; one, if the plan is sound."""
        places: dict[str, list[PlannedVisit]] = defaultdict(list)
        for planned in self.plan.visits:
            places[planned.visit].append(planned)
        return dict(places)

    @cached_property
    def shifts(self) -> dict[str, list[Span]]:
        """Shifts by person, in order of time."""
        by_person: dict[str, list[Span]] = defaultdict(list)
        for shift in self.day_book.shifts:
            by_person[shift.staff].append(span(shift.window))
        return {person: sorted(spans) for person, spans in by_person.items()}

    @cached_property
    def on_duty(self) -> dict[tuple[str, int, int], Span]:
        """By person, start and end of a shift, the time really on duty, where it is longer."""
        return time_on_duty(self.day_book, self.plan)

    def duty(self, shift: Shift) -> Span:
        """From the start of a shift to its end, or to the end of the overtime worked in it."""
        start, end = span(shift.window)
        return self.on_duty.get((shift.staff, start, end), (start, end))

    @cached_property
    def rests(self) -> dict[str, list[Rest]]:
        """Breaks by person, in order of time."""
        by_person: dict[str, list[Rest]] = defaultdict(list)
        for planned in self.plan.breaks:
            by_person[planned.staff].append(Rest(*span(planned.window), planned))
        for rests in by_person.values():
            rests.sort(key=lambda rest: (rest.start, rest.end))
        return dict(by_person)

    def rests_within(self, staff: str, start: int, end: int) -> list[Rest]:
        """The person's breaks that lie wholly in `[start, end)`, in order of time."""
        rests = self.rests.get(staff, [])
        first = bisect_left(rests, start, key=lambda rest: rest.start)
        last = bisect_left(rests, end, lo=first, key=lambda rest: rest.start)
        return [rest for rest in rests[first:last] if rest.end <= end]

    def occupied(self, planned: PlannedVisit) -> Span:
        """From the first to the last minute a visit's window or any of its phases names."""
        known = self._occupied.get(id(planned))
        if known is None:
            start, end = span(planned.window)
            for phase in planned.phases:
                first, last = span(phase.window)
                start, end = min(start, first), max(end, last)
            known = self._occupied[id(planned)] = start, end
        return known

    def works(self, planned: PlannedVisit) -> list[tuple[PhaseWork | None, PlannedPhase]]:
        """Each planned phase with the work it carries out, None where the visit asks for none.

        The first planned phase of a kind carries the first work of that kind, and so on, so that a
        missing or swapped phase does not put the others out of step.
        """
        visit = self.visits.get(planned.visit)
        waiting: dict[str, list[PhaseWork]] = defaultdict(list)
        for work in reversed(visit.phases if visit else ()):
            waiting[work.kind].append(work)
        return [
            (waiting[phase.kind].pop() if waiting[phase.kind] else None, phase)
            for phase in planned.phases
        ]

    def breaks_inside(
        self, planned: PlannedVisit, work: PhaseWork | None, phase: PlannedPhase
    ) -> list[Span]:
        """The performer's breaks that lie inside `phase` and may: these stretch it.

        A break counts as inside only if its times say so as well as its label: it names this visit,
        the phase is breakable, and the whole break falls in the phase's window.
        """
        if work is None or not work.breakable:
            return []
        return [
            (rest.start, rest.end)
            for rest in self.rests_within(phase.performer, *span(phase.window))
            if rest.planned.inside == planned.visit
        ]

    def person(self, staff_id: str) -> str:
        person = self.staff.get(staff_id)
        return _short(person.name) if person else f"“{staff_id}” (nobody of that id)"

    def client(self, visit_id: str) -> str:
        visit = self.visits.get(visit_id)
        return _short(visit.client) if visit else f"“{visit_id}” (no visit of that id)"

    def chair(self, chair_id: str) -> str:
        chair = self.chairs.get(chair_id)
        return _short(chair.name) if chair else f"“{chair_id}” (no chair of that id)"

    def basin(self, basin_id: str) -> str:
        basin = self.basins.get(basin_id)
        return _short(basin.name) if basin else f"“{basin_id}” (no basin of that id)"

    def local(self, at: int) -> datetime:
        return (_EPOCH + timedelta(minutes=at)).astimezone(self.zone)

    def clock(self, at: int) -> str:
        """Local time of day, for example 09:05."""
        return f"{self.local(at):%H:%M}"

    def day(self, at: int) -> str:
        """Local date in words, for example Tuesday 1 December 2026."""
        local = self.local(at)
        return f"{DAYS[local.weekday()]} {local.day} {MONTHS[local.month - 1]} {local.year}"

    def at(self, at: int) -> str:
        return f"{self.clock(at)} on {self.day(at)}"

    def when(self, start: int, end: int) -> str:
        """`09:00 to 13:00 on Tuesday 1 December 2026`, with both dates if they differ."""
        if self.day(start) == self.day(end):
            return f"{self.clock(start)} to {self.at(end)}"
        return f"{self.at(start)} to {self.at(end)}"

    def from_to(self, first: int, last: int) -> str:
        """`from 11:00 to 14:00 on Tuesday 1 December 2026`: a choice of instants, not a stretch."""
        if first == last:
            return f"at {self.at(first)}"
        return f"from {self.when(first, last)}"

    def window(self, start: int, end: int) -> TimeWindow | None:
        """The window as instants in the salon's offset; None if it has no length."""
        if end <= start:
            return None
        return TimeWindow(start=self.local(start), end=self.local(end))


def is_promised(visit: AnyVisit | None) -> bool:
    """A booking that is confirmed: the plan must hold it."""
    return isinstance(visit, Booking) and visit.status is BookingStatus.CONFIRMED


def is_cancelled(visit: AnyVisit | None) -> bool:
    return isinstance(visit, Booking) and visit.status is BookingStatus.CANCELLED


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else name[: LONGEST_NAME - 1] + "…"


__all__ = [
    "DAYS",
    "LONGEST_NAME",
    "MONTHS",
    "AnyVisit",
    "Reading",
    "Rest",
    "Span",
    "covered",
    "is_cancelled",
    "is_promised",
    "minute",
    "span",
]
