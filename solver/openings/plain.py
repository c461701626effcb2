"""Says of the plain case, quickly, that a place breaks none of the rules that always matter.

The checker's rules read a day whole or in part each time. This reads it once, as lists of minutes,
and then only looks up whether the time of every chair, basin and pair of hands is free. It shares
nothing with the bit sets: minutes are those of the documents.

It answers "sound" or "I do not know"; whoever does not know asks the rules. That it never says
"sound" of what the checker refuses is tested on damaged visits.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.plan import BreakKind, Plan, PlannedBreak, PlannedPhase, PlannedVisit
from schemas.resources import Role
from schemas.rules import RuleSetting
from schemas.windows import TimeWindow
from schemas.work import Performer, PhaseWork, Place
from solver.rules import MealBreak, Turnaround
from solver.rules.rule import concerns
from solver.rules.true_length import duration

VOUCHED = {
    "chair-one-client",
    "basin-one-client",
    "hands-one-client",
    "skilled-hands",
    "fitting-chair",
    "opening-hours",
    "within-shift",
    "client-window",
    "promise-kept",
    "work-done",
    "meal-break",
    "turnaround",
    "longest-wait",
    "preferred-lead",
    "preferred-time",
}
"""The rules that a place keeps which is called sound."""
Minutes = tuple[int, int]


class Taken:
    """Stretches of time that are taken, none of which overlap, in minutes since 1970."""

    def __init__(self, stretches: Iterable[Minutes]) -> None:
        self.stretches = sorted(stretches)
        self.ends = [end for _, end in self.stretches]

    def is_free(self, start: int, end: int) -> bool:
        # The first that ends after `start` is the only one that could be in the way.
        after = bisect_left(self.ends, start + 1)
        return after == len(self.ends) or self.stretches[after][0] >= end

    def holds(self, start: int, end: int) -> bool:
        """Whether one of the stretches holds all of this."""
        after = bisect_left(self.ends, end)
        return after < len(self.ends) and self.stretches[after][0] <= start


NOTHING = Taken(())


class PlainDay:
    """A sound day as it stands, and the hard settings in force."""

    def __init__(self, day: tuple[DayBook, Plan], hard: Iterable[RuleSetting]) -> None:
        book, plan = day
        self.book, self.plan = book, plan
        self.hard = {setting.code: setting for setting in hard}
        self.zone = ZoneInfo(book.zone)
        self.staff = {person.id: person for person in book.staff if not person.retired}
        self.chairs = {chair.id: chair for chair in book.chairs if not chair.retired}
        self.open = Taken(map(span, book.open))
        self.shifts = _by((shift.staff, span(shift.window)) for shift in book.shifts)
        self.names = {booking.id for booking in book.bookings}
        self.lengths: dict[object, int] = {}
        self.breaks: dict[str, set[PlannedBreak]] = defaultdict(set)
        for each in plan.breaks:
            self.breaks[each.staff].add(each)
        phases = [phase for visit in plan.visits for phase in visit.phases]
        self.busy = _by(each for phase in phases for each in _work(phase))
        self.basins = {basin.id: NOTHING for basin in book.basins} | _by(
            (phase.basin, span(phase.window)) for phase in phases if phase.basin is not None
        )
        self.seats = _by(self._seats())

    def _seats(self) -> Iterator[tuple[str, Minutes]]:
        """What is taken of chairs, cleaning before and after regarded."""
        for visit in self.plan.visits:
            if visit.chair is not None:
                start, end = span(visit.window)
                clean = self._clean(visit.chair)
                yield visit.chair, (start - clean, end + clean)

    def _clean(self, chair: str) -> int:
        setting = self.hard.get("turnaround")
        tags = self.chairs[chair].tags if chair in self.chairs else ()
        if setting is None or not concerns(tags, setting.scope.chair_tags):
            return 0
        return Turnaround.model_validate(setting.parameters).minutes

    def is_sound(
        self, request: Request, visit: PlannedVisit, breaks: tuple[PlannedBreak, ...]
    ) -> bool:
        """True only where adding `visit`, with `breaks` of its crew, breaks none of `VOUCHED`."""
        crew = {visit.lead, *visit.assistants}
        if request.id in self.names or not crew <= self.staff.keys():
            return False
        if not _is_in_order(request, visit):
            return False
        own: dict[str, list[PlannedBreak]] = {person: [] for person in crew}
        for each in breaks:
            if each.staff not in own:
                return False
            own[each.staff].append(each)
        return (
            self._suits(request, visit)
            and self._is_able(request, visit, crew)
            and self._has_length(request, visit, own)
            and self._has_place(request, visit)
            and all(self._has_time(person, visit, own[person]) for person in crew)
            and all(self._has_meal(person, own[person]) for person in crew)
        )

    def _suits(self, request: Request, visit: PlannedVisit) -> bool:
        start, end = span(visit.window)
        time, lead = self.hard.get("preferred-time"), self.hard.get("preferred-lead")
        if time is not None and request.preferred is not None:
            first, last = span(request.preferred)
            if concerns(request.tags, time.scope.visit_tags) and not first <= start <= last:
                return False
        other = request.preferred_lead not in {None, visit.lead}
        if lead is not None and other and concerns(request.tags, lead.scope.visit_tags):
            return False
        at, grid = visit.window.start.astimezone(self.zone), self.book.grid
        if at.utcoffset() != visit.window.end.astimezone(self.zone).utcoffset():
            return False  # the clocks change: let the rules look
        clock = at.hour * 60 + at.minute
        edges = [
            edge - start for phase in visit.phases for each in _work(phase) for edge in each[1]
        ]
        return (
            clock % grid.arrivals == 0
            and all((clock + edge) % grid.minutes == 0 for edge in edges)
            and any(window.contains(visit.window) for window in request.windows)
            and self.open.holds(start, end)
        )

    def _is_able(self, request: Request, visit: PlannedVisit, crew: set[str]) -> bool:
        lead = self.staff[visit.lead]
        assistants = [self.staff[person] for person in crew if person != visit.lead]
        return (
            Role.LEAD in lead.roles
            and request.required_lead in {None, lead.id}
            and lead.id not in request.refused_leads
            and len(assistants) <= request.max_assistants
            and all(Role.ASSISTANT in each.roles for each in assistants)
            and all(
                self.staff[phase.performer].masters(work.skill, work.level)
                and (work.performer is Performer.CREW or phase.performer == lead.id)
                and all(self._may_help(work, phase, each.staff) for each in phase.help)
                for work, phase in zip(request.phases, visit.phases, strict=True)
            )
        )

    def _may_help(self, work: PhaseWork, phase: PlannedPhase, helper: str) -> bool:
        return (
            work.shared
            and work.help_skill is not None
            and helper != phase.performer
            and self.staff[helper].masters(work.help_skill)
        )

    def _has_length(
        self, request: Request, visit: PlannedVisit, own: dict[str, list[PlannedBreak]]
    ) -> bool:
        rests = 0
        for work, phase in zip(request.phases, visit.phases, strict=True):
            start, end = span(phase.window)
            inside = [
                each
                for each in own[phase.performer]
                if each.inside == visit.visit and phase.window.contains(each.window)
            ]
            if len(inside) > 1 or (inside and not work.breakable) or len(phase.help) > 1:
                return False
            rests += len(inside)
            rest = sum(each.window.minutes for each in inside)
            if any(not phase.window.contains(each.window) for each in phase.help):
                return False
            helped = tuple((each.staff, each.window.minutes) for each in phase.help)
            if end - start != self._lasts(work, phase.performer, helped, rest):
                return False
        # Every break that names this visit lies in it.
        return rests == sum(each.inside == visit.visit for rest in own.values() for each in rest)

    def _lasts(
        self, work: PhaseWork, performer: str, helped: tuple[tuple[str, int], ...], rest: int
    ) -> int:
        key = work.minutes, work.shared, performer, helped, rest
        if key not in self.lengths:
            helpers = [(self.staff[helper], minutes) for helper, minutes in helped]
            step = self.book.grid.minutes
            self.lengths[key] = duration(work, self.staff[performer], helpers, rest, step)
        return self.lengths[key]

    def _has_place(self, request: Request, visit: PlannedVisit) -> bool:
        for work, phase in zip(request.phases, visit.phases, strict=True):
            basin = phase.basin
            if (work.place is Place.BASIN) != (basin is not None):
                return False
            if basin is not None and (
                basin not in self.basins or not self.basins[basin].is_free(*span(phase.window))
            ):
                return False
        needed = any(work.place is not Place.NOWHERE for work in request.phases)
        if visit.chair is None or not needed:
            return visit.chair is None and not needed
        chair = self.chairs.get(visit.chair)
        return (
            chair is not None
            and set(request.chair_features) <= set(chair.features)
            and self.seats.get(chair.id, NOTHING).is_free(*span(visit.window))
            and not any(
                closure.chair == chair.id and closure.window.overlaps(visit.window)
                for closure in self.book.closures
            )
        )

    def _has_time(self, person: str, visit: PlannedVisit, own: list[PlannedBreak]) -> bool:
        """Whether her work and her breaks fit her shifts, what she does, and each other."""
        busy, shifts = self.busy.get(person, NOTHING), self.shifts.get(person, NOTHING)
        work = [minutes for phase in visit.phases for who, minutes in _work(phase) if who == person]
        if not all(shifts.holds(*each) and busy.is_free(*each) for each in work):
            return False
        rests = [(span(each.window), each) for each in own]
        before = self.breaks.get(person, set())
        for (start, end), each in rests:
            if each in before:
                continue
            free = busy.is_free(start, end) and shifts.holds(start, end)
            if not free or each.inside not in {None, visit.visit} or not self._on_grid(each.window):
                return False
        # A break that lies inside another visit, as the book stands, stays there.
        if any(each.inside is not None and each not in own for each in before):
            return False
        taken = sorted([*work, *(minutes for minutes, each in rests if each.inside != visit.visit)])
        return all(first[1] <= second[0] for first, second in pairwise(taken))

    def _on_grid(self, window: TimeWindow) -> bool:
        start, end = window.start.astimezone(self.zone), window.end.astimezone(self.zone)
        clock, grid = start.hour * 60 + start.minute, self.book.grid.minutes
        same = start.utcoffset() == end.utcoffset()  # else the clocks change: let the rules look
        return same and clock % grid == 0 and (clock + window.minutes) % grid == 0

    def _has_meal(self, person: str, own: list[PlannedBreak]) -> bool:
        setting = self.hard.get("meal-break")
        if setting is None or not concerns(self.staff[person].tags, setting.scope.staff_tags):
            return True
        rule = MealBreak.model_validate(setting.parameters)
        meals = [(span(each.window), each) for each in own if each.kind is BreakKind.MEAL]
        return all(
            end - start <= rule.after
            or any(
                rule.earliest <= first - start <= rule.latest
                and last <= end
                and last - first >= rule.minutes
                and (each.inside is None or rule.inside == 1)
                for (first, last), each in meals
            )
            for start, end in self.shifts.get(person, NOTHING).stretches
        )


def span(window: TimeWindow) -> Minutes:
    return _minute(window.start), _minute(window.end)


def _minute(instant: datetime) -> int:
    return int(instant.timestamp()) // 60


def _by(stretches: Iterable[tuple[str, Minutes]]) -> dict[str, Taken]:
    found: dict[str, list[Minutes]] = defaultdict(list)
    for what, minutes in stretches:
        found[what].append(minutes)
    return {what: Taken(each) for what, each in found.items()}


def _work(phase: PlannedPhase) -> Iterator[tuple[str, Minutes]]:
    yield phase.performer, span(phase.window)
    for each in phase.help:
        yield each.staff, span(each.window)


def _is_in_order(request: Request, visit: PlannedVisit) -> bool:
    """Whether the phases are those asked for, back to back, and fill the visit."""
    if [work.kind for work in request.phases] != [phase.kind for phase in visit.phases]:
        return False
    at = visit.window.start
    for phase in visit.phases:
        if phase.window.start != at:
            return False
        at = phase.window.end
    return at == visit.window.end and visit.visit == request.id
