"""`meal-break`: a long shift has one meal break, standing alone or inside a phase.

Exactly one of: the break stands alone among the duties of the shift, or it lies inside a breakable
phase of this performer: `phase start <= break start`, `break end <= phase end`, and the phase is
stretched by the break (`work-done`). Before and after are left to the hands' no-overlap.
"""

from __future__ import annotations

from schemas.rules import RuleSetting
from solver.model.facts import Day, DayShift, number
from solver.model.variables import DayModel, Literal, MealVar, Obstacle

CODE = "meal-break"


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is None:
        return
    for shift in model.day.shifts:
        if asked(setting, shift):
            _one_break(model, setting, shift)


def asked(setting: RuleSetting, shift: DayShift) -> bool:
    """Whether this shift needs a break."""
    tags = setting.scope.staff_tags
    if shift.person.retired or (tags and not set(tags).intersection(shift.person.tags)):
        return False
    return shift.minutes > number(setting, "after", 360)


def meal_window(day: Day, setting: RuleSetting, shift: DayShift) -> tuple[int, int, int]:
    """Length of the break, its earliest and its latest start; none fits where they cross."""
    size = day.up(number(setting, "minutes", 30))
    first = max(shift.start, day.up(shift.start_minute + number(setting, "earliest", 120)))
    last = min(shift.end - size, day.down(shift.start_minute + number(setting, "latest", 300)))
    return size, first, last


def _one_break(model: DayModel, setting: RuleSetting, shift: DayShift) -> None:
    cp = model.cp
    size, first, last = meal_window(model.day, setting, shift)
    if first > last:
        if setting.hard:
            reason = f"the shift of {shift.person.name} leaves no room for a meal break"
            model.obstacles.append(Obstacle(CODE, reason, shift=shift))
        else:
            model.penalties.append(cp.new_constant(setting.weight))
        return
    name = f"{shift.shift.id} meal"
    taken = cp.new_constant(1) if setting.hard else cp.new_bool_var(f"{name} taken")
    standing = cp.new_bool_var(f"{name} standing")
    meal = MealVar(shift, cp.new_int_var(first, last, name), size, standing, taken, (first, last))
    model.meals[shift.index] = meal
    inside = _inside(model, meal) if number(setting, "inside", 1) else []
    cp.add(standing + sum(inside) == taken)
    if not setting.hard:
        model.penalties.append(setting.weight * (1 - taken))


def _inside(model: DayModel, meal: MealVar) -> list[Literal]:
    """One literal for each breakable phase that this shift may perform."""
    cp, found = model.cp, []
    for visit in model.visits:
        for phase, shift, performs in model.by_shift(visit):
            if shift.index != meal.shift.index:
                continue
            if not visit.facts.phases[phase.number].breakable:
                continue
            inside = cp.new_bool_var(f"{visit.facts.id}/{phase.number} interrupted")
            cp.add_implication(inside, performs)
            cp.add(phase.start <= meal.start).only_enforce_if(inside)
            cp.add(meal.start + meal.size <= phase.end).only_enforce_if(inside)
            phase.inside[shift.index] = inside
            found.append(inside)
    return found
