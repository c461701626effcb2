"""The rules on hours, as the greedy start asks them of one person's day."""

from __future__ import annotations

from collections.abc import Callable

from schemas.rules import RuleSetting
from solver.model.constraints import (
    daily_hours,
    longest_stretch,
    rest_between_days,
    weekly_hours,
    weekly_rest,
)
from solver.model.dues import concerns_shift
from solver.model.facts import Day, DayShift
from solver.model.hands import Handwork

Allows = Callable[[Day, RuleSetting, Handwork], bool]

HOURS: dict[str, Allows] = {
    module.CODE: module.allows
    for module in (longest_stretch, daily_hours, weekly_hours, rest_between_days, weekly_rest)
}
"""By code, whether a person may have such a day."""


def limits(day: Day, shift: DayShift) -> list[tuple[RuleSetting, Allows]]:
    """The rules on hours in force that look at the person of this shift, hard and soft."""
    found = [(day.setting(code), allows) for code, allows in HOURS.items()]
    return [
        (setting, allows)
        for setting, allows in found
        if setting is not None and concerns_shift(setting, shift)
    ]
