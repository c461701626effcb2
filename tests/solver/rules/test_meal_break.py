"""Every long shift has a meal break in time."""

from __future__ import annotations

import pytest

from schemas.plan import BreakKind
from tests.builders import (
    a_booking,
    a_day_book,
    a_lead,
    a_meal,
    a_placed,
    a_plan,
    a_setting,
    a_shared_phase,
    a_shift,
    a_window,
    an_assistant,
)
from tests.judging import findings_of, the_finding

CODE = "meal-break"


def judge(*breaks, shift=("9:00", "18:00"), setting=None, visits=(), plan=None, lead=None):
    facts = a_day_book(
        visits=visits,
        staff=(lead or a_lead(),),
        shifts=(a_shift("lead-1", *shift),),
        rules=(setting or a_setting(CODE),),
    )
    return findings_of(CODE, facts, plan or a_plan(breaks=breaks))


def test_a_shift_of_exactly_six_hours_needs_no_break():
    assert judge(shift=("9:00", "15:00")) == ()


def test_a_shift_of_five_minutes_more_needs_one_and_is_told_when():
    (finding,) = judge(shift=("9:00", "15:05"))
    assert finding.staff == ("lead-1",)
    assert finding.window == a_window("9:00", "15:05")
    assert finding.remedy == (
        "Give Lead-1 30 min that start from 11:00 to 14:00 on Tuesday 1 December 2026."
    )


@pytest.mark.parametrize(
    ("start", "end", "good"),
    [
        ("11:00", "11:30", True),  # exactly the earliest, two hours in
        ("10:55", "11:25", False),
        ("14:00", "14:30", True),  # exactly the latest, five hours in
        ("14:05", "14:35", False),
        ("12:00", "12:25", False),  # five minutes short
        ("12:00", "12:45", True),  # longer than asked
    ],
)
def test_the_break_starts_in_time_and_is_long_enough(start, end, good):
    assert (judge(a_meal(start, end)) == ()) is good


def test_a_house_may_fix_the_very_minute():
    setting = a_setting(CODE, earliest=180, latest=180)
    assert judge(a_meal("12:00", "12:30"), setting=setting) == ()
    (finding,) = judge(a_meal("12:05", "12:35"), setting=setting)
    assert finding.remedy == "Give Lead-1 30 min that start at 12:00 on Tuesday 1 December 2026."


def test_a_break_too_short_is_told_with_its_length():
    (finding,) = judge(a_meal("12:00", "12:25"))
    assert "has a meal break of 25 min at 12:00; due are 30 min" in finding.detail


def test_a_break_may_begin_with_the_shift_where_the_house_allows_it():
    setting = a_setting(CODE, earliest=0)
    assert judge(a_meal("9:00", "9:30"), setting=setting) == ()
    assert len(judge(a_meal("8:55", "9:25"), setting=setting)) == 1


def test_two_short_breaks_do_not_make_a_long_one():
    assert len(judge(a_meal("12:00", "12:15"), a_meal("12:15", "12:30"))) == 1


def test_a_second_break_in_time_mends_a_first_one_too_early():
    assert judge(a_meal("9:30", "10:00"), a_meal("12:00", "12:30")) == ()


def test_a_rest_break_is_no_meal():
    assert len(judge(a_meal("12:00", "12:30", kind=BreakKind.REST))) == 1


def test_somebody_elses_meal_does_not_count():
    assert len(judge(a_meal("12:00", "12:30", "assistant-1"))) == 1


def test_the_whole_break_lies_inside_the_shift():
    setting = a_setting(CODE, after=120, earliest=0, latest=600)
    assert judge(a_meal("12:30", "13:00"), shift=("9:00", "13:00"), setting=setting) == ()
    assert len(judge(a_meal("12:35", "13:05"), shift=("9:00", "13:00"), setting=setting)) == 1


def test_a_break_inside_an_install_counts_unless_the_house_says_no():
    visit = a_booking(phases=(a_shared_phase(240),))
    plan = a_plan(
        a_placed(visit, stretch=30), breaks=[a_meal("12:00", "12:30", inside="booking-1")]
    )
    assert judge(visits=[visit], plan=plan) == ()
    (finding,) = judge(visits=[visit], plan=plan, setting=a_setting(CODE, inside=0))
    assert "inside Booking-1's visit" in finding.detail
    assert "between duties" in finding.remedy


def test_every_shift_of_everybody_needs_its_own():
    staff = (a_lead(), an_assistant())
    facts = a_day_book(staff=staff, rules=(a_setting(CODE),))
    plan = a_plan(breaks=[a_meal("12:00", "12:30")])
    assert the_finding(CODE, facts, plan).staff == ("assistant-1",)


def test_the_rule_concerns_only_the_tags_it_names():
    setting = a_setting(CODE, staff_tags=("minor",))
    assert judge(setting=setting) == ()
    assert len(judge(setting=setting, lead=a_lead(tags=("minor", "weekend")))) == 1


def test_somebody_who_left_needs_no_break():
    assert judge(lead=a_lead(retired=True)) == ()


def test_a_soft_rule_costs_its_weight_for_each_missing_break():
    (finding,) = judge(setting=a_setting(CODE, hard=False, weight=7))
    assert (finding.hard, finding.cost) == (False, 7)
