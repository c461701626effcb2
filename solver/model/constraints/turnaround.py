"""`turnaround`: a chair stays empty for some minutes between two clients.

Each visit is followed by a margin on its chair. Where the rule is soft a visit may go without,
which costs once for each. That is exact: the chairs are coloured with the margins chosen here, and
the last client of a chair has her margin for nothing.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from schemas.rules import RuleSetting
from solver.model.facts import Day, number
from solver.model.variables import DayModel, VisitVar

CODE = "turnaround"


def steps_of(day: Day, group: int) -> int:
    """Steps of turnaround on the chairs of a group; 0 where the rule does not concern them."""
    setting = day.setting(CODE)
    if setting is None:
        return 0
    tags = setting.scope.chair_tags
    if tags and not day.groups[group].tags.intersection(tags):
        return 0
    return day.up(number(setting, "minutes", 10))


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is None:
        return
    for group in model.day.groups:
        steps = steps_of(model.day, group.index)
        if steps == 0:
            continue
        taken = [
            _with_margin(model, visit, group.index, setting, steps)
            for visit in model.visits
            if group.index in visit.groups
        ]
        if taken:
            model.cp.add_cumulative(taken, [1] * len(taken), len(group.chairs))


def _with_margin(
    model: DayModel, visit: VisitVar, group: int, setting: RuleSetting, steps: int
) -> cp_model.IntervalVar:
    """The visit and its margin, as one interval on the group's chairs."""
    cp, literal = model.cp, visit.groups[group]
    name = f"{visit.facts.id} and turnaround"
    if setting.hard:
        visit.margins[group] = steps
        return cp.new_optional_interval_var(
            visit.start, visit.length + steps, visit.end + steps, literal, name
        )
    low, high = model.day.horizon
    hurried = model.new_bool(f"{visit.facts.id} without turnaround")
    margin = cp.new_int_var(0, steps, f"{name} margin")
    size = cp.new_int_var(0, high - low + steps, f"{name} size")
    end = cp.new_int_var(low, high + steps, f"{name} end")
    cp.add(margin == steps - steps * hurried)
    cp.add(size == visit.length + margin)
    cp.add(end == visit.end + margin)
    cp.add_implication(hurried, literal)
    visit.margins[group] = margin
    model.penalties.append(setting.weight * hurried)
    return cp.new_optional_interval_var(visit.start, size, end, literal, name)
