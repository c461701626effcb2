"""Every week of work has one long rest. General information: check your local code."""

from __future__ import annotations

from datetime import date

import pytest

from tests.builders import a_lead, a_setting
from tests.solver.rules.hour_books import work_judged

CODE = "weekly-rest"
MONDAY = date(2026, 11, 30)
EVERY_DAY = [(0, 480, day) for day in range(7)]


@pytest.mark.parametrize(
    ("saturday_ends", "lawful"),
    [
        # Saturday 13:00 to Monday 0:00 is 35 hours.
        pytest.param(240, True, id="EU art. 3 + 5: 35h00 in the week"),
        pytest.param(241, False, id="EU art. 3 + 5: 34h59, below 24 + 11"),
    ],
)
def test_the_rule_agrees_with_the_worked_examples(saturday_ends, lawful):
    spans = [*EVERY_DAY[:5], (0, saturday_ends, 5)]
    assert (work_judged(CODE, spans, day=MONDAY) == ()) is lawful


def test_the_first_day_of_one_week_and_the_last_of_the_next_may_be_free():
    # CJEU C-306/16: twelve days of work between.
    spans = [(240, 480, 1), *((0, 240, day) for day in range(2, 13))]
    assert work_judged(CODE, spans, day=MONDAY) == ()


def test_seven_days_of_work_have_no_long_rest():
    (finding,) = work_judged(CODE, EVERY_DAY, day=MONDAY)
    assert "in week 2026-W49 is 16 h; 35 h are the least" in finding.detail


def test_work_into_the_morning_counts_in_the_week_it_reaches():
    spans = [(780, 1000, 6), *((0, 480, 7 + day) for day in range(6))]
    assert work_judged(CODE, spans, day=MONDAY, minutes=2100, setting=None) != ()
    assert work_judged(CODE, spans[1:6], day=MONDAY) == ()


def test_a_shorter_rest_may_be_enough():
    spans = [*EVERY_DAY[:5], (0, 480, 5)]
    assert work_judged(CODE, spans, day=MONDAY, minutes=1440) == ()


def test_the_rule_concerns_only_the_tags_it_names():
    setting = a_setting(CODE, staff_tags=("minor",))
    assert work_judged(CODE, EVERY_DAY, day=MONDAY, setting=setting) == ()
    minor = a_lead(tags=("minor",))
    assert len(work_judged(CODE, EVERY_DAY, day=MONDAY, setting=setting, lead=minor)) == 1
