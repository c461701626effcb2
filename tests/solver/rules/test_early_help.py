"""Help comes early in an install."""

from __future__ import annotations

import pytest

from schemas.daybook import Grid
from solver.rules import rule
from tests.builders import (
    a_booking,
    a_day_book,
    a_help,
    a_placed,
    a_plan,
    a_planned_phase,
    a_setting,
    a_shared_phase,
)
from tests.judging import findings_of, the_finding

CODE = "early-help"


def judged(*helps, tags=(), grid=5, weight=2, visit_tags=(), **figures):
    """An install from nine to one with these helps."""
    visit = a_booking("long", phases=(a_shared_phase(300),), tags=tags, max_assistants=2)
    phase = a_planned_phase("9:00", "13:00", help_=helps)
    setting = a_setting(CODE, hard=False, weight=weight, visit_tags=visit_tags, **figures)
    book = a_day_book(visits=[visit], rules=(setting,), grid=Grid(minutes=grid, arrivals=15))
    return book, a_plan(a_placed(visit, phases=[phase]))


def test_help_from_the_first_minute_costs_nothing():
    assert findings_of(CODE, *judged(a_help("9:00", "11:00"))) == ()


def test_each_step_of_the_grid_costs_the_weight():
    finding = the_finding(CODE, *judged(a_help("9:20", "11:00")))
    assert (finding.hard, finding.cost, finding.staff) == (False, 8, ("assistant-1",))
    assert finding.detail.endswith("from 09:20 on Tuesday 1 December 2026, 20 min after it began.")


def test_a_step_that_has_begun_counts_whole():
    assert the_finding(CODE, *judged(a_help("9:20", "11:00"), grid=15)).cost == 4


@pytest.mark.parametrize(("start", "cost"), [("9:29", 0), ("9:30", 0), ("9:31", 2), ("9:40", 4)])
def test_minutes_that_are_spared_cost_nothing(start, cost):
    findings = findings_of(CODE, *judged(a_help(start, "11:00"), minutes=30))
    assert sum(finding.cost for finding in findings) == cost


def test_every_help_is_judged_by_itself():
    helps = (a_help("9:00", "9:30"), a_help("10:00", "11:00"), a_help("12:00", "13:00", "lead-2"))
    assert [finding.cost for finding in findings_of(CODE, *judged(*helps))] == [24, 72]


def test_only_visits_with_the_tag_are_judged():
    late = a_help("10:00", "11:00")
    assert findings_of(CODE, *judged(late, visit_tags=("bridal",))) == ()
    assert findings_of(CODE, *judged(late, visit_tags=("bridal",), tags=("bridal",))) != ()


def test_it_is_a_wish_that_cannot_be_made_hard():
    faults = rule(CODE).faults(a_setting(CODE, hard=True))
    assert [fault.pointer for fault in faults] == ["/hard"]
