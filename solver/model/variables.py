"""The decisions about one day, as variables.

A visit: accepted or not, a lead, a chair group, a start. A phase: `[start, end)` with
`end = start + size`, one performer's shift, and for each able assistant an optional span of help.
A shift: the breaks it is due, each standing alone or inside a phase, which it then stretches.
A visit that is declined has no performer, size 0 and no length.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from solver.model.crew import can_help, can_lead, can_perform
from solver.model.dues import Due, Key
from solver.model.facts import Day, DayShift, DayVisit

Literal = cp_model.IntVar
"""A variable of 0 and 1."""


@dataclass
class HelpVar:
    """One assistant's span of help in one phase; `size` is 0 where she does not help."""

    shift: DayShift
    present: Literal
    start: cp_model.IntVar
    size: cp_model.IntVar
    end: cp_model.IntVar
    interval: cp_model.IntervalVar


@dataclass
class PhaseVar:
    """One phase; `performer` and `help` are by shift index, `inside` by the key of a break."""

    number: int
    start: cp_model.IntVar
    size: cp_model.IntVar
    end: cp_model.IntVar
    performer: dict[int, Literal] = field(default_factory=dict)
    intervals: dict[int, cp_model.IntervalVar] = field(default_factory=dict)
    help: dict[int, HelpVar] = field(default_factory=dict)
    inside: dict[Key, Literal] = field(default_factory=dict)
    """That break of the performer lies inside this phase."""


@dataclass
class VisitVar:
    """One visit; `leads` is by staff id, `groups` by chair group."""

    facts: DayVisit
    present: Literal
    start: cp_model.IntVar
    length: cp_model.IntVar
    end: cp_model.IntVar
    phases: list[PhaseVar]
    leads: dict[str, Literal]
    groups: dict[int, Literal]
    reach: cp_model.Domain
    """The steps at which it may start; rules narrow it, and it is never empty."""
    margins: dict[int, cp_model.IntVar | int] = field(default_factory=dict)
    """Steps of turnaround after the visit, by chair group."""


@dataclass
class BreakVar:
    """A break that is due, `due.size` steps long."""

    due: Due
    start: cp_model.IntVar
    standing: Literal
    """It lies between duties."""
    taken: Literal
    """It is given for this due, and not only another one that answers it too."""
    certain: bool
    """Every plan has it."""


@dataclass
class DayModel:
    """A day's constraint model under construction: facts, variables and what the rules add."""

    day: Day
    cp: cp_model.CpModel
    visits: list[VisitVar]
    breaks: dict[Key, BreakVar] = field(default_factory=dict)
    shares: dict[tuple[Key, Key], Literal] = field(default_factory=dict)
    """By due and owner: the owner's break answers this due too."""
    over: dict[int, cp_model.IntVar] = field(default_factory=dict)
    """By shift in which overtime is allowed, the steps worked past its end."""
    penalties: list[cp_model.LinearExprT] = field(default_factory=list)
    """What the soft rules cost, in weight times size."""
    obstacles: list[Obstacle] = field(default_factory=list)
    """What cannot be, seen before any search."""

    def new_bool(self, name: str) -> Literal:
        return self.cp.new_bool_var(name)

    def by_shift(self, visit: VisitVar) -> Iterator[tuple[PhaseVar, DayShift, Literal]]:
        """Every performer literal of a visit."""
        for phase in visit.phases:
            for index, literal in phase.performer.items():
                yield phase, self.day.shifts[index], literal

    def narrow(self, visit: VisitVar, starts: cp_model.Domain, rule: str, reason: str) -> bool:
        """Keep only these starts. Where none would be left, say so and leave the reach alone.

        A declined visit keeps a start in its reach as well, so the reach must not become empty.
        """
        left = visit.reach.intersection_with(starts)
        if left.is_empty():
            self.cannot(visit, rule, reason)
            return False
        visit.reach = left
        return True

    def cannot(self, visit: VisitVar, rule: str, reason: str) -> None:
        """State that a rule leaves the visit no place at all on this day."""
        self.obstacles.append(Obstacle(rule, reason, visit.facts))
        if not visit.facts.must:
            self.cp.add(visit.present == 0)


@dataclass(frozen=True)
class Obstacle:
    """A rule that leaves a visit, or a shift's break, no place; `reason` is for people."""

    rule: str
    reason: str
    visit: DayVisit | None = None
    shift: DayShift | None = None


def build_variables(day: Day) -> DayModel:
    """The variables of a day, with what is true of them by their meaning alone."""
    model = DayModel(day=day, cp=cp_model.CpModel(), visits=[])
    for visit in day.visits:
        model.visits.append(_visit_var(model, visit))
    return model


def _visit_var(model: DayModel, facts: DayVisit) -> VisitVar:
    cp, day, name = model.cp, model.day, facts.id
    low, high = day.horizon
    present = cp.new_constant(1) if facts.must else cp.new_bool_var(f"{name} accepted")
    start = cp.new_int_var(low, high, f"{name} start")
    end = cp.new_int_var(low, high, f"{name} end")
    length = cp.new_int_var(0, high - low, f"{name} length")
    cp.add(end == start + length)
    if not facts.must:
        cp.add(length == 0).only_enforce_if(~present)
    leads = {
        person: cp.new_bool_var(f"{name} lead {person}") for person in _possible_leads(day, facts)
    }
    groups = {
        group.index: cp.new_bool_var(f"{name} group {group.index}")
        for group in day.groups
        if facts.needs_chair and group.features.issuperset(facts.visit.chair_features)
    }
    reach = cp_model.Domain(low, high)
    visit = VisitVar(facts, present, start, length, end, [], leads, groups, reach)
    for number in range(len(facts.phases)):
        visit.phases.append(_phase_var(model, visit, number))
    cp.add(visit.phases[0].start == start)
    cp.add(visit.phases[-1].end == end)
    return visit


def _possible_leads(day: Day, facts: DayVisit) -> list[str]:
    """Able leads with a shift on the day, each once, in the order of the shifts."""
    people = {shift.person.id: shift.person for shift in day.shifts}
    return [name for name, person in people.items() if can_lead(facts.visit, person)]


def _phase_var(model: DayModel, visit: VisitVar, number: int) -> PhaseVar:
    cp, day, work = model.cp, model.day, visit.facts.phases[number]
    low, high = day.horizon
    name = f"{visit.facts.id}/{number}"
    start = cp.new_int_var(low, high, f"{name} start")
    end = cp.new_int_var(low, high, f"{name} end")
    size = cp.new_int_var(1 if visit.facts.must else 0, high - low, f"{name} size")
    cp.add(end == start + size)
    phase = PhaseVar(number, start, size, end)
    for shift in day.shifts:
        if can_perform(visit.facts.visit, work, shift.person):
            literal = cp.new_bool_var(f"{name} by {shift.shift.id}")
            phase.performer[shift.index] = literal
            phase.intervals[shift.index] = cp.new_optional_interval_var(
                start, size, end, literal, f"{name} hands of {shift.shift.id}"
            )
        if can_help(work, shift.person) and visit.facts.visit.max_assistants:
            phase.help[shift.index] = _help_var(cp, shift, day, name)
    return phase


def _help_var(cp: cp_model.CpModel, shift: DayShift, day: Day, phase: str) -> HelpVar:
    low, high = day.horizon
    name = f"{phase} help {shift.shift.id}"
    present = cp.new_bool_var(name)
    start = cp.new_int_var(low, high, f"{name} start")
    end = cp.new_int_var(low, high, f"{name} end")
    size = cp.new_int_var(0, high - low, f"{name} size")
    interval = cp.new_optional_interval_var(start, size, end, present, name)
    cp.add(size >= 1).only_enforce_if(present)
    cp.add(size == 0).only_enforce_if(~present)
    return HelpVar(shift, present, start, size, end, interval)
