"""What already is and cannot be undone: phases begun, breaks taken, chairs sat on.

A held phase keeps its start, its performer and the help that began; where it is over it keeps its
end too, where it goes on its end follows from its work. Everything else begins at `now` or later.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from ortools.sat.python import cp_model

from schemas.plan import BreakKind, PlannedVisit
from solver.model.asked_breaks import dues_of
from solver.model.breaks import post_dues
from solver.model.dues import Due, Key
from solver.model.facts import Day, DayShift
from solver.model.variables import BreakVar, DayModel, HelpVar, PhaseVar, VisitVar


@dataclass(frozen=True)
class HeldHelp:
    """Help of one person, `[start, end)` in steps; without an end it goes on."""

    staff: str
    start: int
    end: int | None


@dataclass(frozen=True)
class HeldPhase:
    """A phase that has begun; without an end it goes on."""

    performer: str
    start: int
    end: int | None
    help: tuple[HeldHelp, ...] = ()


@dataclass(frozen=True)
class HeldVisit:
    """A visit's phases that have begun, from the first; its lead if she stays, and its chair."""

    phases: tuple[HeldPhase, ...]
    lead: str | None = None
    chair: str | None = None


@dataclass(frozen=True)
class HeldBreak:
    """A break that has begun; `inside` names the visit it interrupts."""

    staff: str
    kind: BreakKind
    start: int
    size: int
    inside: str | None


@dataclass(frozen=True)
class Held:
    """Everything held, by visit id. `now` is the first step at which anything else may begin."""

    now: int | None = None
    visits: dict[str, HeldVisit] = field(default_factory=dict)
    earliest: dict[str, int] = field(default_factory=dict)
    """Visits whose client is not there before a step."""
    breaks: tuple[HeldBreak, ...] = ()


def post_held_breaks(model: DayModel, held: Held) -> None:
    """Give breaks that have begun and that no rule asks for any more a variable of their own.

    They are posted before the rules: a phase they lie in is stretched by them.
    """
    _, left = _matched(model.day, held)
    dues = []
    for number, given in enumerate(left):
        shift = shift_at(model.day, given.staff, given.start)
        if shift is not None and given.start + given.size <= shift.end:
            key = ("held", shift.index, number)
            at, inside = given.start, given.inside is not None
            dues.append(Due(key, given.kind, given.size, at, at, inside, hard=True, weight=0))
    post_dues(model, dues, "a break that was taken")


def post_held(model: DayModel, held: Held) -> None:
    """Hold what is, and let nothing else begin before now. Posted after the rules."""
    for visit in model.visits:
        own = held.visits.get(visit.facts.id)
        _hold_visit(model, visit, own, held.now)
        earliest = held.earliest.get(visit.facts.id)
        if earliest is not None:
            model.cp.add(visit.start >= earliest).only_enforce_if(visit.present)
    matched, left = _matched(model.day, held)
    for key, rest in model.breaks.items():
        given = left[key[2]] if key[0] == "held" else matched.get(key)
        _hold_break(model, rest, given, held.now)


def _hold_visit(model: DayModel, visit: VisitVar, own: HeldVisit | None, now: int | None) -> None:
    cp = model.cp
    begun = own.phases if own is not None else ()
    if own is not None:
        for person, literal in visit.leads.items():
            if own.lead is not None:
                cp.add(literal == int(person == own.lead))
        for index, literal in visit.groups.items():
            if own.chair is not None:
                cp.add(literal == int(own.chair in model.day.groups[index].chairs))
    for phase in visit.phases:
        if phase.number < len(begun):
            _hold_phase(model, phase, begun[phase.number], now)
            continue
        if now is None:
            continue
        cp.add(phase.start >= now).only_enforce_if(visit.present)
        for help_ in phase.help.values():
            cp.add(help_.start >= now).only_enforce_if(help_.present)


def _hold_phase(model: DayModel, phase: PhaseVar, held: HeldPhase, now: int | None) -> None:
    cp = model.cp
    cp.add(phase.start == held.start)
    if held.end is not None:
        cp.add(phase.end == held.end)
    elif now is not None:
        cp.add(phase.end >= now)
    shift = shift_at(model.day, held.performer, held.start)
    for index, literal in phase.performer.items():
        cp.add(literal == int(shift is not None and index == shift.index))
    given = {}
    for help_ in held.help:
        hers = shift_at(model.day, help_.staff, help_.start)
        if hers is not None:
            given[hers.index] = help_
    for index, var in phase.help.items():
        _hold_help(cp, var, given.get(index), held.end is not None, now)


def _hold_help(
    cp: cp_model.CpModel, var: HelpVar, held: HeldHelp | None, over: bool, now: int | None
) -> None:
    if held is None:
        if over:
            cp.add(var.present == 0)
        elif now is not None:
            cp.add(var.start >= now).only_enforce_if(var.present)
        return
    cp.add(var.present == 1)
    cp.add(var.start == held.start)
    if held.end is not None:
        cp.add(var.end == held.end)
    elif now is not None:
        cp.add(var.end >= now)


def _matched(day: Day, held: Held) -> tuple[dict[Key, HeldBreak], list[HeldBreak]]:
    """The held breaks by the due they answer, and those that answer none."""
    found, waiting = dict[Key, HeldBreak](), list(held.breaks)
    for due in dues_of(day):
        person = day.shifts[due.shift].person.id
        for given in waiting:
            alike = (given.staff, given.kind, given.size) == (person, due.kind, due.size)
            if alike and due.first <= given.start <= due.last:
                waiting.remove(given)
                found[due.key] = given
                break
    return found, waiting


def _hold_break(model: DayModel, rest: BreakVar, given: HeldBreak | None, now: int | None) -> None:
    """Hold a break that has begun; any other is still to come."""
    cp, due = model.cp, rest.due
    if given is None:
        if now is not None:
            cp.add(rest.start >= now).only_enforce_if(rest.taken)
        return
    cp.add(rest.start == given.start)
    cp.add(rest.taken == 1)
    cp.add(rest.standing == int(given.inside is None))
    for visit in model.visits:
        for phase in visit.phases:
            if due.key in phase.inside and visit.facts.id != given.inside:
                cp.add(phase.inside[due.key] == 0)


def shift_at(day: Day, staff: str, step: int) -> DayShift | None:
    """The shift of a person that a step lies in."""
    for shift in day.shifts:
        if shift.person.id == staff and shift.start <= step < shift.end:
            return shift
    return None


def held_visit(
    day: Day, planned: PlannedVisit, begun: int | None = None, now: datetime | None = None
) -> HeldVisit:
    """A planned visit's first `begun` phases (all, if left out) as they are.

    With `now`, a phase or a help that ends after it goes on; without, everything keeps its end.
    Times are rounded down to steps: what a day book holds lies on the grid.
    """

    def step(instant: datetime) -> int:
        return day.down(day.frame.minute(instant))

    def end(instant: datetime) -> int | None:
        return None if now is not None and instant > now else step(instant)

    return HeldVisit(
        phases=tuple(
            HeldPhase(
                performer=phase.performer,
                start=step(phase.window.start),
                end=end(phase.window.end),
                help=tuple(
                    HeldHelp(given.staff, step(given.window.start), end(given.window.end))
                    for given in phase.help
                    if now is None or given.window.start < now
                ),
            )
            for phase in planned.phases[:begun]
        ),
        lead=planned.lead,
        chair=planned.chair,
    )
