"""Two clients never share a chair at one time."""

from __future__ import annotations

from tests.builders import (
    a_booking,
    a_chair,
    a_day_book,
    a_lead,
    a_placed,
    a_plan,
    a_window,
    an_assistant,
)
from tests.judging import findings_of, the_finding

CODE = "chair-one-client"


def two_leads(*visits, chairs=("chair-1",)):
    return a_day_book(
        visits=visits,
        staff=(a_lead(), a_lead("lead-2"), an_assistant()),
        chairs=tuple(a_chair(name) for name in chairs),
    )


def test_visits_that_only_touch_share_a_chair():
    one, two = a_booking("one", "9:00", 120), a_booking("two", "11:00", 120)
    plan = a_plan(a_placed(one, "9:00"), a_placed(two, "11:00", lead="lead-2"))
    assert findings_of(CODE, two_leads(one, two), plan) == ()


def test_one_step_of_overlap_is_named_with_chair_clients_and_time():
    one, two = a_booking("one", "9:00", 125), a_booking("two", "11:00", 120)
    plan = a_plan(a_placed(one, "9:00"), a_placed(two, "11:00", lead="lead-2"))
    finding = the_finding(CODE, two_leads(one, two), plan)
    assert finding.hard
    assert finding.visits == ("one", "two")
    assert finding.window == a_window("11:00", "11:05")
    assert finding.detail == (
        "One and Two both sit in Chair 1, 11:00 to 11:05 on Tuesday 1 December 2026."
    )
    assert "11:05 on Tuesday 1 December 2026" in finding.remedy


def test_the_same_time_on_another_chair_is_fine():
    one, two = a_booking("one"), a_booking("two")
    plan = a_plan(a_placed(one), a_placed(two, lead="lead-2", chair="chair-2"))
    assert findings_of(CODE, two_leads(one, two, chairs=("chair-1", "chair-2")), plan) == ()


def test_a_short_visit_inside_a_long_one_does_not_hide_a_later_overlap():
    long, short = a_booking("long", "9:00", 240), a_booking("short", "9:30", 30)
    late = a_booking("late", "12:00", 60)
    plan = a_plan(
        a_placed(long, "9:00"),
        a_placed(short, "9:30", lead="lead-2"),
        a_placed(late, "12:00", lead="lead-2"),
    )
    pairs = {finding.visits for finding in findings_of(CODE, two_leads(long, short, late), plan)}
    assert pairs == {("long", "short"), ("long", "late")}


def test_a_chair_nobody_knows_is_still_not_shared():
    one, two = a_booking("one"), a_booking("two")
    plan = a_plan(a_placed(one, chair="ghost"), a_placed(two, lead="lead-2", chair="ghost"))
    assert "“ghost”" in the_finding(CODE, two_leads(one, two), plan).detail
