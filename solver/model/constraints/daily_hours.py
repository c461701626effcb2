"""`daily-hours`: the work and the rests of a day add up to no more than allowed."""

from __future__ import annotations

from schemas.rules import RuleSetting
from solver.model.facts import Day, number
from solver.model.hands import Handwork, hold_sum, steps_of
from solver.model.hands import cost as hours_cost
from solver.model.placement import DayPlacement
from solver.model.variables import DayModel

CODE = "daily-hours"


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is not None:
        hold_sum(model, setting, lambda person: _left(model.day, setting, person))


def _left(day: Day, setting: RuleSetting, person: str) -> int:
    """Minutes of the day still allowed: windows that no shift joins are planned apart."""
    done = sum(
        each.minutes
        for each in day.elsewhere
        if each.person == person and day.local_date(each.start) == day.date
    )
    return number(setting, "minutes", 600) - done


def allows(day: Day, setting: RuleSetting, work: Handwork) -> bool:
    """Whether a person may have this day of work."""
    return steps_of(work) * day.grid <= _left(day, setting, work.person)


def cost(day: Day, placement: DayPlacement) -> int:
    """What a soft setting costs in a placement."""
    return hours_cost(day, placement, CODE, allows)
