"""Every long shift has a meal break in time.

The rows of law are general information: check your local code.
"""

from __future__ import annotations

import pytest

from schemas.daybook import Grid
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
    minutes_after,
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


def shift_of(minutes):
    """A shift from 9:00 of so many minutes, on a grid of one minute."""
    shift = a_shift("lead-1", "9:00", "9:01")
    window = shift.window.model_copy(update={"end": minutes_after(shift.window.start, minutes)})
    return shift.model_copy(update={"window": window})


def meal_at(minutes, length):
    """A meal break that begins so many minutes after 9:00."""
    meal = a_meal("9:00", "9:01")
    start = minutes_after(meal.window.start, minutes)
    window = meal.window.model_copy(update={"start": start, "end": minutes_after(start, length)})
    return meal.model_copy(update={"window": window})


UK = {"after": 360, "minutes": 20, "earliest": 0, "latest": 1440}
"""Working Time Regulations 1998, reg. 12: over six hours, 20 uninterrupted minutes."""
CALIFORNIA = {"after": 300, "minutes": 30, "earliest": 0, "latest": 300}
"""Labor Code 512(a): over five hours, 30 minutes; by the end of the fifth hour (Brinker, 2012)."""
ONTARIO = {"after": 300, "minutes": 30, "earliest": 0, "latest": 300}
"""Employment Standards Act, 2000, s. 20: 30 minutes so that nobody works over five hours on end.

One break in time says so for shifts up to ten and a half hours; the rule knows no second one.
"""
GERMANY = {"after": 360, "minutes": 30, "earliest": 0, "latest": 360}
"""Arbeitszeitgesetz s. 4: over six up to nine hours, 30 minutes; at most six hours on end."""


@pytest.mark.parametrize(
    ("law", "shift", "meals", "lawful"),
    [
        # 2003/88/EC art. 4: "longer than six hours"; its length is left to the states, here UK's.
        pytest.param(UK, 360, (), True, id="EU and UK: 6h00, none required"),
        pytest.param(UK, 361, (), False, id="UK reg. 12(1): 6h01, one required"),
        pytest.param(UK, 361, ((180, 20),), True, id="UK reg. 12(3): 20 min are enough"),
        pytest.param(UK, 361, ((180, 19),), False, id="UK reg. 12(3): 19 min are not"),
        pytest.param(UK, 361, ((120, 10), (240, 10)), False, id="UK reg. 12(3): uninterrupted"),
        pytest.param(UK, 750, ((300, 20),), True, id="UK: 12h30, still one"),
        pytest.param(CALIFORNIA, 300, (), True, id="CA 512(a): 5h00, more than five hours"),
        pytest.param(CALIFORNIA, 301, (), False, id="CA 512(a): 5h01, one meal"),
        pytest.param(CALIFORNIA, 600, ((240, 30),), True, id="CA 512(a): 10h00, one meal"),
        pytest.param(CALIFORNIA, 540, ((300, 30),), True, id="CA Brinker: end of the fifth hour"),
        pytest.param(CALIFORNIA, 540, ((301, 30),), False, id="CA Brinker: a minute later"),
        pytest.param(CALIFORNIA, 570, ((60, 30),), True, id="CA Brinker: no rolling five hours"),
        pytest.param(ONTARIO, 300, (), True, id="ON s. 20: 5h00 on end"),
        pytest.param(ONTARIO, 301, (), False, id="ON s. 20: 5h01 on end"),
        pytest.param(ONTARIO, 540, ((300, 30),), True, id="ON s. 20: after five hours"),
        pytest.param(ONTARIO, 540, ((301, 30),), False, id="ON s. 20: after 5h01"),
        pytest.param(GERMANY, 360, (), True, id="DE s. 4: 6h00, none"),
        pytest.param(GERMANY, 361, (), False, id="DE s. 4: 6h01, 30 min"),
        pytest.param(GERMANY, 540, ((360, 30),), True, id="DE s. 4: six hours on end"),
        pytest.param(GERMANY, 540, ((361, 30),), False, id="DE s. 4: 6h01 on end"),
    ],
)
def test_the_figures_can_state_a_law(law, shift, meals, lawful):
    facts = a_day_book(
        staff=(a_lead(),),
        shifts=(shift_of(shift),),
        rules=(a_setting(CODE, **law),),
        grid=Grid(minutes=1, arrivals=15),
    )
    plan = a_plan(breaks=[meal_at(*meal) for meal in meals])
    assert (findings_of(CODE, facts, plan) == ()) is lawful
