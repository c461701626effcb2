"""Between two days of work lies enough rest. General information: check your local code."""

from __future__ import annotations

from datetime import date

import pytest

from tests.builders import a_lead, a_setting
from tests.solver.rules.hour_books import a_rest, work_judged

CODE = "rest-between-days"


@pytest.mark.parametrize(
    ("start", "lawful"),
    [
        pytest.param(0, True, id="UK reg. 10, EU art. 3: end 22:00, next start 09:00, 11h00"),
        pytest.param(-1, False, id="UK reg. 10, EU art. 3: end 22:00, next start 08:59"),
    ],
)
def test_the_rule_agrees_with_the_worked_examples(start, lawful):
    assert (work_judged(CODE, [(700, 780), (start, 60, 1)]) == ()) is lawful


def test_a_day_off_between_is_rest():
    assert work_judged(CODE, [(700, 780), (-300, 60, 2)]) == ()


def test_a_long_gap_within_a_day_is_no_night():
    assert len(work_judged(CODE, [(-540, -500), (700, 780), (-60, 0, 1)])) == 1


def test_a_breach_says_how_short_the_night_is():
    (finding,) = work_judged(CODE, [(700, 780), (-120, 60, 1)])
    assert "until 22:00 on Tuesday 1 December 2026" in finding.detail
    assert "9 h later; 11 h are the least" in finding.detail
    assert "start at 09:00 on Wednesday" in finding.remedy


def test_a_rest_break_does_not_cut_the_night():
    assert work_judged(CODE, [(700, 780), (0, 60, 1)], [a_rest(800)]) == ()


def test_a_night_with_a_clock_change_has_its_true_length():
    # The clocks go forward in Lisbon on 2026-03-29: 22:00 to 9:00 is ten hours.
    eve = date(2026, 3, 28)
    assert len(work_judged(CODE, [(700, 780), (0, 60, 1)], day=eve)) == 1
    assert work_judged(CODE, [(700, 780), (60, 120, 1)], day=eve) == ()


def test_the_rule_concerns_only_the_tags_it_names():
    spans, setting = [(700, 780), (-60, 60, 1)], a_setting(CODE, staff_tags=("minor",))
    assert work_judged(CODE, spans, setting=setting) == ()
    assert len(work_judged(CODE, spans, setting=setting, lead=a_lead(tags=("minor",)))) == 1
