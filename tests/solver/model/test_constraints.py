"""Each rule that a salon may set, posted hard and posted soft.

What the model says a soft rule costs is what the checker's findings cost.
"""

from __future__ import annotations

import pytest

from schemas.plan import PlanResult, SolveStatus
from schemas.rules import RuleSetting
from solver.model.constraints import CONSTRAINTS
from solver.plan import plan_days
from solver.rules import RULES, default_settings
from tests.builders import (
    a_booking,
    a_chair,
    a_day_book,
    a_lead,
    a_phase,
    a_request,
    a_setting,
    a_shift,
    a_wash,
    a_window,
    an_assistant,
)


def bent(result: PlanResult) -> list[tuple[str, int]]:
    """The soft findings; the tier of preferences must be their sum."""
    assert result.status is SolveStatus.OPTIMAL
    found = [(finding.rule, finding.cost) for finding in result.findings]
    preferences = next(tier for tier in result.tiers if tier.name == "preferences")
    assert preferences.value == preferences.bound == sum(cost for _, cost in found)
    return found


def two_on_one_chair(setting: RuleSetting, **changes):
    bookings = [a_booking("one", "9:00", 60), a_booking("two", "10:00", 60)]
    return a_day_book(visits=bookings, rules=(setting,), **changes)


def test_every_rule_has_its_constraint():
    assert set(CONSTRAINTS) == {rule.code for rule in RULES}


def test_a_hard_turnaround_cannot_be_kept_where_promises_touch():
    result = plan_days(two_on_one_chair(a_setting("turnaround", minutes=10)))
    assert result.status is SolveStatus.INFEASIBLE


def test_a_soft_turnaround_costs_once_where_promises_touch():
    result = plan_days(two_on_one_chair(a_setting("turnaround", hard=False, weight=7, minutes=10)))
    assert bent(result) == [("turnaround", 7)]


def test_a_soft_turnaround_costs_nothing_where_a_second_chair_is_free():
    setting = a_setting("turnaround", hard=False, weight=7, minutes=10)
    result = plan_days(two_on_one_chair(setting, chairs=(a_chair(), a_chair("chair-2"))))
    assert bent(result) == []


def test_a_turnaround_concerns_only_chairs_with_the_tag():
    setting = a_setting("turnaround", minutes=10, chair_tags=("leather",))
    assert plan_days(two_on_one_chair(setting)).status is SolveStatus.OPTIMAL
    leather = two_on_one_chair(setting, chairs=(a_chair(tags=("leather",)),))
    assert plan_days(leather).status is SolveStatus.INFEASIBLE


def waiting(setting: RuleSetting):
    """Take-down at 9:00, finish by the only one who can, in from 12:00."""
    phases = (a_phase("take-down", 60), a_wash(30))
    return a_day_book(
        visits=[a_booking(phases=phases)],
        staff=(a_lead(skills=a_lead().skills[:1]), an_assistant()),
        shifts=(a_shift("lead-1"), a_shift("assistant-1", "12:00")),
        rules=(setting,),
    )


def test_a_hard_longest_wait_cannot_be_kept_where_the_hands_come_late():
    result = plan_days(waiting(a_setting("longest-wait", minutes=60)))
    assert result.status is SolveStatus.INFEASIBLE


def test_a_soft_longest_wait_costs_once_for_each_wait():
    result = plan_days(waiting(a_setting("longest-wait", hard=False, weight=3, minutes=60)))
    assert bent(result) == [("longest-wait", 3)]


def test_a_longest_wait_is_allowed_to_its_last_minute():
    assert plan_days(waiting(a_setting("longest-wait", minutes=120))).status is SolveStatus.OPTIMAL


def no_time_to_eat(setting: RuleSetting):
    """The lead braids without a break all the time that the rule leaves for one."""
    return a_day_book(
        visits=[a_booking(minutes=420)], staff=(a_lead(tags=("night",)),), rules=(setting,)
    )


def test_a_hard_meal_break_cannot_be_kept_beside_an_unbroken_promise():
    result = plan_days(no_time_to_eat(a_setting("meal-break")))
    assert result.status is SolveStatus.INFEASIBLE


def test_a_soft_meal_break_costs_once_for_each_shift_without():
    result = plan_days(no_time_to_eat(a_setting("meal-break", hard=False, weight=50)))
    assert bent(result) == [("meal-break", 50)]


def test_a_soft_meal_break_without_any_room_costs_too():
    setting = a_setting("meal-break", hard=False, weight=50, after=60, earliest=600, latest=700)
    assert bent(plan_days(no_time_to_eat(setting))) == [("meal-break", 50)]


def test_a_meal_break_concerns_only_staff_with_the_tag():
    assert plan_days(no_time_to_eat(a_setting("meal-break", staff_tags=("day",)))).status is (
        SolveStatus.OPTIMAL
    )
    assert plan_days(no_time_to_eat(a_setting("meal-break", staff_tags=("night",)))).status is (
        SolveStatus.INFEASIBLE
    )


def wants_the_other(setting: RuleSetting, **changes):
    """She would rather have lead-2, who is away until noon; she must leave by then."""
    request = a_request(
        minutes=120, preferred_lead="lead-2", windows=(a_window("9:00", "12:00"),), **changes
    )
    return a_day_book(
        visits=[request],
        staff=(a_lead(), a_lead("lead-2")),
        shifts=(a_shift("lead-1"), a_shift("lead-2", "12:00")),
        rules=(setting,),
    )


def test_a_hard_preferred_lead_declines_who_cannot_have_her():
    result = plan_days(wants_the_other(a_setting("preferred-lead")))
    assert result.plan is not None
    assert result.plan.declined == ("request-1",)


def test_a_soft_preferred_lead_costs_its_weight():
    result = plan_days(wants_the_other(a_setting("preferred-lead", hard=False, weight=9)))
    assert bent(result) == [("preferred-lead", 9)]


def test_a_preferred_lead_concerns_only_visits_with_the_tag():
    setting = a_setting("preferred-lead", hard=False, weight=9, visit_tags=("bridal",))
    assert bent(plan_days(wants_the_other(setting))) == []
    assert bent(plan_days(wants_the_other(setting, tags=("bridal",)))) == [("preferred-lead", 9)]


def rather_early(setting: RuleSetting):
    """She would rather start by 9:30; a promise has the lead until 11:00."""
    request = a_request(minutes=60, preferred=a_window("9:00", "9:30"))
    return a_day_book(visits=[a_booking(minutes=120), request], staff=(a_lead(),), rules=(setting,))


def test_a_hard_preferred_time_declines_who_cannot_start_then():
    result = plan_days(rather_early(a_setting("preferred-time")))
    assert result.plan is not None
    assert result.plan.declined == ("request-1",)


def test_a_soft_preferred_time_costs_by_the_quarter_hour():
    # 11:00 lies 90 min after 9:30: six quarters.
    result = plan_days(rather_early(a_setting("preferred-time", hard=False, weight=2)))
    assert bent(result) == [("preferred-time", 12)]


@pytest.mark.parametrize("setting", default_settings(), ids=lambda setting: setting.code)
def test_the_model_and_the_rule_have_the_same_house_figures(setting: RuleSetting):
    """A setting that leaves its parameters out means the same to both."""
    setting = setting.model_copy(update={"on": True})
    bare = setting.model_copy(update={"parameters": {}})
    visits = [
        a_booking(minutes=60),
        a_request("request-1", 60, preferred=a_window("9:00", "9:30"), preferred_lead="lead-2"),
    ]
    spelled, short = (
        plan_days(a_day_book(visits=visits, rules=(each,))) for each in (setting, bare)
    )
    assert spelled == short
