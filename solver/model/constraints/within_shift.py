"""`within-shift`: everybody works inside the shift that does the work, overtime counted in.

A break lies in its shift by the domain of its start (`meal-break`).
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from solver.model.facts import DayShift
from solver.model.variables import DayModel, Literal

CODE = "within-shift"


def post(model: DayModel) -> None:
    for visit in model.visits:
        for phase, shift, literal in model.by_shift(visit):
            _inside(model, shift, literal, phase.start, phase.end)
        for phase in visit.phases:
            for help_ in phase.help.values():
                _inside(model, help_.shift, help_.present, help_.start, help_.end)


def _inside(
    model: DayModel,
    shift: DayShift,
    literal: Literal,
    start: cp_model.IntVar,
    end: cp_model.IntVar,
) -> None:
    low, high = model.day.horizon
    if shift.start > low:
        model.cp.add(start >= shift.start).only_enforce_if(literal)
    if shift.index in model.over:
        over = model.over[shift.index]
        model.cp.add(end <= shift.end + over).only_enforce_if(literal)
    elif shift.end < high:
        model.cp.add(end <= shift.end).only_enforce_if(literal)
