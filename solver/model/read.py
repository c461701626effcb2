"""From the values of a solution to a placement, and from a placement to a hint."""

from __future__ import annotations

from collections.abc import Callable

from ortools.sat.python import cp_model

from solver.model.asked_breaks import dues_of
from solver.model.overtime import worked
from solver.model.placement import (
    BreakPlacement,
    DayPlacement,
    HelpPlacement,
    PhasePlacement,
    VisitPlacement,
)
from solver.model.sharing import shared_in
from solver.model.variables import BreakVar, DayModel, PhaseVar, VisitVar

Value = Callable[[cp_model.LinearExprT], int]
"""Gives the value of an expression in the solution at hand."""


def read_placement(model: DayModel, value: Value) -> DayPlacement:
    """What a solution says, visit by visit and break by break."""
    placed = [visit for visit in model.visits if value(visit.present)]
    return DayPlacement(
        visits=tuple(_visit(visit, value) for visit in placed),
        breaks=tuple(
            _break(model, rest, value) for rest in model.breaks.values() if value(rest.taken)
        ),
        declined=tuple(visit.facts.index for visit in model.visits if not value(visit.present)),
    )


def _visit(visit: VisitVar, value: Value) -> VisitPlacement:
    chosen = [index for index, literal in visit.groups.items() if value(literal)]
    group = chosen[0] if chosen else None
    margin = visit.margins.get(group, 0) if group is not None else 0
    return VisitPlacement(
        visit=visit.facts.index,
        lead=next(person for person, literal in visit.leads.items() if value(literal)),
        group=group,
        turnaround=margin if isinstance(margin, int) else value(margin),
        phases=tuple(_phase(phase, value) for phase in visit.phases),
    )


def _phase(phase: PhaseVar, value: Value) -> PhasePlacement:
    return PhasePlacement(
        start=value(phase.start),
        end=value(phase.end),
        shift=next(index for index, literal in phase.performer.items() if value(literal)),
        help=tuple(
            HelpPlacement(index, value(help_.start), value(help_.end))
            for index, help_ in phase.help.items()
            if value(help_.present)
        ),
    )


def _break(model: DayModel, rest: BreakVar, value: Value) -> BreakPlacement:
    key = rest.due.key
    inside = [
        visit.facts.index
        for visit in model.visits
        for phase in visit.phases
        if key in phase.inside and value(phase.inside[key])
    ]
    return BreakPlacement(rest.due, value(rest.start), inside[0] if inside else None)


def hint_placement(model: DayModel, placement: DayPlacement) -> None:
    """Tell the solver a placement to start from: every decision, so that it is complete."""
    cp = model.cp
    cp.clear_hints()  # type: ignore[no-untyped-call]
    by_visit = {placed.visit: placed for placed in placement.visits}
    breaks = {rest.due.key: rest for rest in placement.breaks}
    for visit in model.visits:
        placed = by_visit.get(visit.facts.index)
        if not visit.facts.must:
            cp.add_hint(visit.present, int(placed is not None))
        for person, literal in visit.leads.items():
            cp.add_hint(literal, int(placed is not None and placed.lead == person))
        for index, literal in visit.groups.items():
            cp.add_hint(literal, int(placed is not None and placed.group == index))
        for phase in visit.phases:
            _hint_phase(model, phase, placed.phases[phase.number] if placed else None)
            for key, literal in phase.inside.items():
                rest = breaks.get(key)
                here = (
                    placed is not None
                    and rest is not None
                    and rest.inside == visit.facts.index
                    and placed.phases[phase.number].start <= rest.start
                    and rest.end <= placed.phases[phase.number].end
                )
                cp.add_hint(literal, int(here))
        if placed is not None:
            cp.add_hint(visit.start, placed.start)
            cp.add_hint(visit.end, placed.end)
            cp.add_hint(visit.length, placed.end - placed.start)
    shared = shared_in(dues_of(model.day), placement.breaks)
    for (due, owner), literal in model.shares.items():
        cp.add_hint(literal, int(due in shared and shared[due].due.key == owner))
    over = worked(model.day, placement)
    for index, steps in model.over.items():
        cp.add_hint(steps, over.get(index, 0))
    for key, variable in model.breaks.items():
        rest = breaks.get(key)
        cp.add_hint(variable.standing, int(rest is not None and rest.inside is None))
        if not variable.certain:
            cp.add_hint(variable.taken, int(rest is not None))
        if rest is not None:
            cp.add_hint(variable.start, rest.start)


def _hint_phase(model: DayModel, phase: PhaseVar, placed: PhasePlacement | None) -> None:
    cp = model.cp
    for index, literal in phase.performer.items():
        cp.add_hint(literal, int(placed is not None and placed.shift == index))
    given = {help_.shift: help_ for help_ in placed.help} if placed else {}
    for index, help_ in phase.help.items():
        here = given.get(index)
        cp.add_hint(help_.present, int(here is not None))
        cp.add_hint(help_.size, here.end - here.start if here else 0)
        if here:
            cp.add_hint(help_.start, here.start)
            cp.add_hint(help_.end, here.end)
    if placed:
        cp.add_hint(phase.start, placed.start)
        cp.add_hint(phase.end, placed.end)
        cp.add_hint(phase.size, placed.end - placed.start)
