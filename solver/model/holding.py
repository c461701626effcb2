"""Post what is held to a day's model."""

from __future__ import annotations

from ortools.sat.python import cp_model

from solver.model.breaks import post_breaks
from solver.model.dues import Due
from solver.model.held import Held, HeldBreak, HeldHelp, HeldPhase, HeldVisit, shift_at
from solver.model.matching import Matching
from solver.model.variables import BreakVar, DayModel, HelpVar, PhaseVar, VisitVar


def post_held_breaks(model: DayModel, matching: Matching) -> None:
    """Give breaks that have begun and that no rule asks for any more a variable of their own.

    They are posted before the rules: a phase they lie in is stretched by them.
    """
    dues = []
    for number, given in enumerate(matching.left):
        shift = shift_at(model.day, given.staff, given.start)
        if shift is not None and given.start + given.size <= shift.end:
            key = ("held", shift.index, number)
            at, inside = given.start, given.inside is not None
            dues.append(Due(key, given.kind, given.size, at, at, inside, hard=True, weight=0))
    post_breaks(model, dues, "a break that was taken")


def post_held(model: DayModel, held: Held, matching: Matching) -> None:
    """Hold what is, and let nothing else begin before now. Posted after the rules."""
    for visit in model.visits:
        own = held.visits.get(visit.facts.id)
        _hold_visit(model, visit, own, held.now)
        earliest = held.earliest.get(visit.facts.id)
        if earliest is not None:
            model.cp.add(visit.start >= earliest).only_enforce_if(visit.present)
    for key, rest in model.breaks.items():
        given = matching.left[key[2]] if key[0] == "held" else matching.held.get(key)
        _hold_break(model, rest, given, held.now)
        if key in matching.joint:
            first, last = matching.joint[key]
            model.cp.add(rest.start >= first)
            model.cp.add(rest.start <= last)


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
