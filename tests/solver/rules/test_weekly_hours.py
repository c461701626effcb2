"""Nobody works more hours a week than allowed. General information: check your local code."""

from __future__ import annotations

from datetime import date

import pytest

from tests.builders import a_lead, a_setting
from tests.solver.rules.hour_books import a_rest, work_judged

CODE = "weekly-hours"
MONDAY = date(2026, 11, 30)


def days(*lengths):
    """Work of so many minutes from nine, day after day."""
    return [(0, minutes, day) for day, minutes in enumerate(lengths)]


@pytest.mark.parametrize(("last", "lawful"), [(480, True), (481, False)])
def test_a_week_of_work_adds_up_to_the_limit_and_no_more(last, lawful):
    spans = days(480, 480, 480, 480, 480, last)
    assert (work_judged(CODE, spans, day=MONDAY) == ()) is lawful


def test_a_week_begins_on_monday():
    assert len(work_judged(CODE, [(0, 800), (0, 800, 1)], day=MONDAY, minutes=1599)) == 1
    sunday = date(2026, 12, 6)
    assert work_judged(CODE, [(0, 800), (0, 800, 1)], day=sunday, minutes=1599) == ()


def test_the_weeks_are_those_of_iso_8601():
    # 2027-01-01 is a Friday of week 53 of 2026, 2027-01-04 a Monday of week 1.
    eve = date(2026, 12, 31)
    (finding,) = work_judged(CODE, [(0, 500), (0, 500, 1)], day=eve, minutes=999)
    assert "works 16 h 40 min in week 2026-W53" in finding.detail
    assert work_judged(CODE, [(0, 500), (0, 500, 4)], day=eve, minutes=999) == ()


def test_a_rest_counts_as_work():
    assert work_judged(CODE, [(0, 100)], [a_rest(120)], minutes=110) == ()
    assert len(work_judged(CODE, [(0, 100)], [a_rest(120)], minutes=109)) == 1


def test_the_rule_concerns_only_the_tags_it_names():
    setting = a_setting(CODE, minutes=60, staff_tags=("minor",))
    assert work_judged(CODE, [(0, 90)], setting=setting) == ()
    assert len(work_judged(CODE, [(0, 90)], setting=setting, lead=a_lead(tags=("minor",)))) == 1
