"""`break-total`: as many parts as make up the minutes due, beside the meal that is due anyway.

Parts may touch, so that two of them are one longer break. A meal break that `meal-break` asks for
(hard, and no shorter than a part) counts towards the minutes.
"""

from __future__ import annotations

from collections.abc import Iterator

from schemas.plan import BreakKind
from schemas.rules import RuleSetting
from solver.model.breaks import post_dues
from solver.model.constraints import meal_break
from solver.model.dues import Due, Key, concerns_shift
from solver.model.facts import Day, DayShift, number
from solver.model.variables import DayModel

CODE = "break-total"


def post(model: DayModel) -> None:
    post_dues(model, dues(model.day), "breaks of enough minutes in all")


def dues(day: Day) -> Iterator[Due]:
    """The parts of each shift, in order."""
    setting = day.setting(CODE)
    if setting is None:
        return
    part = day.up(number(setting, "part", 15))
    inside = number(setting, "inside", 1) == 1
    meals = {
        due.shift: due.size
        for due in meal_break.dues(day)
        if due.hard and due.fits and due.size >= part and (inside or not due.inside)
    }
    for shift in day.shifts:
        if not concerns_shift(setting, shift):
            continue
        left = day.up(_minutes(setting, shift)) - meals.get(shift.index, 0)
        before: Key | None = None
        count = max(0, -(-left // part))
        for place in range(count):
            key = (CODE, shift.index, place)
            yield Due(
                key=key,
                kind=BreakKind.MEAL,
                size=part,
                first=shift.start,
                last=shift.end - part,
                inside=inside,
                hard=setting.hard,
                weight=setting.weight if place == count - 1 else 0,
                after=before,
            )
            before = key


def _minutes(setting: RuleSetting, shift: DayShift) -> int:
    if shift.minutes > number(setting, "beyond", 540):
        return number(setting, "raised", 45)
    return number(setting, "minutes", 30) if shift.minutes > number(setting, "after", 360) else 0
