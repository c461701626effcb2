"""Nobody works more hours a day than allowed. General information: check your local code."""

from __future__ import annotations

import pytest

from tests.builders import a_lead, a_setting, a_window
from tests.solver.rules.hour_books import a_break, a_rest, work_judged

CODE = "daily-hours"


@pytest.mark.parametrize(("last", "lawful"), [(840, True), (841, False)])
def test_the_work_of_a_day_adds_up_to_the_limit_and_no_more(last, lawful):
    assert (work_judged(CODE, [(0, 300), (540, last)], minutes=600) == ()) is lawful


def test_time_without_a_client_is_not_counted():
    assert work_judged(CODE, [(0, 60), (780, 840)], minutes=120) == ()


def test_a_meal_inside_is_not_counted_and_a_rest_is():
    meal, rest = a_break(60, 30, inside="client-0"), a_rest(60, 30, inside="client-0")
    assert work_judged(CODE, [(0, 150)], [meal], minutes=120) == ()
    assert len(work_judged(CODE, [(0, 150)], [rest], minutes=149)) == 1  # 29 CFR 785.18
    assert len(work_judged(CODE, [(0, 120)], [a_rest(130, 10)], minutes=129)) == 1
    assert work_judged(CODE, [(0, 120)], [a_break(130, 30)], minutes=120) == ()  # 29 CFR 785.19


def test_each_day_is_judged_on_its_own():
    assert work_judged(CODE, [(0, 120), (0, 120, 1)], minutes=120) == ()
    assert len(work_judged(CODE, [(0, 121), (0, 121, 1)], minutes=120)) == 2


def test_a_breach_says_how_much_and_on_which_day():
    (finding,) = work_judged(CODE, [(0, 125), (300, 400)], minutes=120)
    assert "works 3 h 45 min on Tuesday 1 December 2026; 2 h are the most" in finding.detail
    assert finding.window == a_window("9:00", "15:40")


def test_the_rule_concerns_only_the_tags_it_names():
    setting = a_setting(CODE, minutes=60, staff_tags=("minor",))
    assert work_judged(CODE, [(0, 90)], setting=setting) == ()
    assert len(work_judged(CODE, [(0, 90)], setting=setting, lead=a_lead(tags=("minor",)))) == 1
