"""`weekly-hours`: what the week has left after earlier days and later promises limits the day.

Where the rule is soft, later promises are left out, and the day that passes the limit pays.
"""

from __future__ import annotations

from schemas.rules import RuleSetting
from solver.model.facts import Day, number
from solver.model.hands import Handwork, hold_sum, steps_of
from solver.model.hands import cost as hours_cost
from solver.model.placement import DayPlacement
from solver.model.variables import DayModel

CODE = "weekly-hours"


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is not None:
        hold_sum(model, setting, lambda person: _left(model.day, setting, person))


def _left(day: Day, setting: RuleSetting, person: str) -> int | None:
    """Minutes of the week still allowed; None where it is over them already."""
    week = day.date.isocalendar()[:2]
    done = sum(
        each.minutes
        for each in day.elsewhere
        if each.person == person
        and (setting.hard or not each.later)
        and day.local_date(each.start).isocalendar()[:2] == week
    )
    left = number(setting, "minutes", 2880) - done
    return None if left < 0 and not setting.hard else max(0, left)


def allows(day: Day, setting: RuleSetting, work: Handwork) -> bool:
    """Whether a person may have this day of work in her week."""
    left = _left(day, setting, work.person)
    return left is None or steps_of(work) * day.grid <= left


def cost(day: Day, placement: DayPlacement) -> int:
    """What a soft setting costs in a placement."""
    return hours_cost(day, placement, CODE, allows)
