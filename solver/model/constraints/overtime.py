"""`overtime`: work may go past the end of a shift, and each minute of it costs.

For a shift in which it is allowed, `over` is the number of steps worked past its end; all of the
shift's duties end by then (`within-shift`). Where breaks hang on how long the shift is, `over` is
no more than that: some duty ends there.
"""

from __future__ import annotations

from solver.model import overtime
from solver.model.facts import Day, DayShift
from solver.model.placement import DayPlacement
from solver.model.variables import DayModel, Literal

CODE = "overtime"


def post(model: DayModel) -> None:
    cp, day = model.cp, model.day
    exact = {due.shift for due in day.dues if due.over is not None}
    for shift in day.shifts:
        setting = overtime.setting_of(day, shift.person)
        if not shift.overtime or setting is None:
            continue
        name = f"{shift.shift.id} overtime"
        over = model.over[shift.index] = cp.new_int_var(0, shift.overtime, name)
        cost = setting.weight * day.grid * over
        spare = overtime.spare(day, shift)
        if spare or shift.index in exact:
            some = model.new_bool(f"{name} worked")
            cp.add(over >= 1).only_enforce_if(some)
            cp.add(over == 0).only_enforce_if(~some)
            cost = cost - setting.weight * spare * some
            if shift.index in exact:
                _ends_there(model, shift, some)
        model.penalties.append(cost)


def _ends_there(model: DayModel, shift: DayShift, some: Literal) -> None:
    """Some duty of the shift ends with the overtime."""
    cp, over = model.cp, model.over[shift.index]
    last = []
    for visit in model.visits:
        for phase in visit.phases:
            duties = []
            if shift.index in phase.performer:
                duties.append((phase.performer[shift.index], phase.end))
            if shift.index in phase.help:
                help_ = phase.help[shift.index]
                duties.append((help_.present, help_.end))
            for there, end in duties:
                ends = model.new_bool(f"{visit.facts.id} ends the overtime of {shift.shift.id}")
                cp.add_implication(ends, there)
                cp.add(end == shift.end + over).only_enforce_if(ends)
                last.append(ends)
    cp.add_bool_or([*last, ~some])


def cost(day: Day, placement: DayPlacement) -> int:
    """What the overtime of a placement costs."""
    total = 0
    for index, over in overtime.worked(day, placement).items():
        shift = day.shifts[index]
        setting = overtime.setting_of(day, shift.person)
        if setting is not None:
            total += setting.weight * (over * day.grid - overtime.spare(day, shift))
    return total
