"""One day as it stands, looked up by who and what is in the way of one more visit."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from schemas.booking import Booking
from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedBreak, PlannedVisit
from schemas.resources import Shift
from schemas.windows import TimeWindow


@dataclass(frozen=True)
class StandingDay:
    """A block's part of the book with its plan."""

    day: tuple[DayBook, Plan]

    def beside(self, visit: PlannedVisit, breaks: Iterable[PlannedBreak]) -> list[PlannedVisit]:
        """The visits of the day that could be in the way of this one or of its crew's breaks."""
        start = min(visit.window.start, *(phase.window.start for phase in visit.phases))
        end = max(visit.window.end, *(phase.window.end for phase in visit.phases))
        stay = TimeWindow.model_construct(start=start, end=end)
        found: dict[str, PlannedVisit] = {}
        if visit.chair is not None:
            found |= {each.visit: each for each in self._next_to(visit.chair, stay)}
        busy = [stay, *(each.window for each in breaks)]
        for person in (visit.lead, *visit.assistants):
            for each in self.of_person[person]:
                if any(each.window.overlaps(window) for window in busy):
                    found[each.visit] = each
        for basin in {phase.basin for phase in visit.phases if phase.basin is not None}:
            for each in self.of_basin[basin]:
                if each.window.overlaps(stay):
                    found[each.visit] = each
        return list(found.values())

    def _next_to(self, chair: str, stay: TimeWindow) -> Iterator[PlannedVisit]:
        """Who sits on this chair last before, meanwhile, and first after."""
        before = after = None
        for each in self.of_chair[chair]:
            if each.window.end <= stay.start:
                before = each
            elif each.window.start < stay.end:
                yield each
            elif after is None:
                after = each
        yield from (each for each in (before, after) if each is not None)

    @cached_property
    def bookings(self) -> dict[str, Booking]:
        return {booking.id: booking for booking in self.day[0].bookings}

    @cached_property
    def shifts(self) -> dict[str, list[Shift]]:
        found: dict[str, list[Shift]] = defaultdict(list)
        for shift in self.day[0].shifts:
            found[shift.staff].append(shift)
        return found

    @cached_property
    def inside(self) -> dict[str, set[str]]:
        """By person, the visits that her breaks lie in."""
        found: dict[str, set[str]] = defaultdict(set)
        for each in self.day[1].breaks:
            if each.inside is not None:
                found[each.staff].add(each.inside)
        return found

    @cached_property
    def of_chair(self) -> dict[str, list[PlannedVisit]]:
        """By chair, its visits in order of time."""
        found: dict[str, list[PlannedVisit]] = defaultdict(list)
        for visit in sorted(self.day[1].visits, key=lambda each: each.window.start):
            if visit.chair is not None:
                found[visit.chair].append(visit)
        return found

    @cached_property
    def of_person(self) -> dict[str, list[PlannedVisit]]:
        found: dict[str, list[PlannedVisit]] = defaultdict(list)
        for visit in self.day[1].visits:
            for person in (visit.lead, *visit.assistants):
                found[person].append(visit)
        return found

    @cached_property
    def of_basin(self) -> dict[str, list[PlannedVisit]]:
        found: dict[str, list[PlannedVisit]] = defaultdict(list)
        for visit in self.day[1].visits:
            for basin in {phase.basin for phase in visit.phases if phase.basin is not None}:
                found[basin].append(visit)
        return found
