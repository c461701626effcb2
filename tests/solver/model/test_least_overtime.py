"""A lead alone works no more overtime than the accepted value takes: by trying everything."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from schemas.daybook import DayBook
from schemas.windows import TimeWindow
from solver.plan import plan_days
from tests.builders import a_setting, minutes_after
from tests.solver.exhaustive import Exhaustive
from tests.solver.tiny_days import STEP, tiny_day

SOFT = {"preferred-lead", "preferred-time"}


@dataclass(frozen=True)
class Evening:
    """A tiny day with one lead, whose shift ends an hour early, and overtime of so many minutes."""

    seed: int

    def book(self, minutes: int) -> DayBook:
        day = tiny_day(self.seed)
        shift = day.shifts[0]
        begins = shift.window.start
        ends = max(minutes_after(shift.window.end, -2 * STEP), minutes_after(begins, STEP))
        window = TimeWindow(start=begins, end=ends)
        overtime = a_setting("overtime", hard=False, weight=1, minutes=minutes)
        rules = [rule for rule in day.rules or () if rule.code not in {*SOFT, "overtime"}]
        return day.model_copy(
            update={
                "shifts": (shift.model_copy(update={"window": window}),),
                "rules": (*(rule for rule in rules if rule.hard), overtime),
            }
        )


@pytest.mark.parametrize("seed", range(30))
def test_with_a_step_less_of_overtime_less_is_accepted(seed):
    evening = Evening(seed)
    result = plan_days(evening.book(90), seconds=20)
    worked = sum(each.cost for each in result.findings if each.rule == "overtime")
    best = Exhaustive(evening.book(worked)).best_value()
    if result.plan is None:
        assert Exhaustive(evening.book(90)).best_value() is None
        return
    assert best == result.tiers[0].value
    if worked:
        less = Exhaustive(evening.book(worked - STEP)).best_value()
        assert less is None or less < best
