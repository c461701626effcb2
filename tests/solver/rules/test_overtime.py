"""Work past the end of a shift: allowed up to a limit, paid by the minute, and on the clock."""

from __future__ import annotations

import pytest

from solver.checker import check
from solver.rules import rule
from tests.builders import (
    a_booking,
    a_day_book,
    a_help,
    a_lead,
    a_meal,
    a_phase,
    a_placed,
    a_plan,
    a_planned_phase,
    a_setting,
    a_shared_phase,
    a_shift,
    a_window,
    an_assistant,
)
from tests.judging import findings_of, the_finding

CODE = "overtime"
OVERTIME = a_setting(CODE, hard=False, weight=3, minutes=30)
HOURS = {"open": (a_window("9:00", "22:00"),)}


UNTIL_SIX = (a_shift("lead-1", "9:00", "18:00"),)


def until(end, *rules, shifts=UNTIL_SIX, breaks=(), **facts):
    """A day book, and a plan in which the lead works from 16:00 to `end`."""
    visit = a_booking("late", "16:00", phases=(a_phase(minutes=600),))
    placed = a_placed(visit, phases=[a_planned_phase("16:00", end)])
    book = a_day_book(visits=[visit], shifts=shifts, rules=rules, **{**HOURS, **facts})
    return book, a_plan(placed, breaks=breaks)


def codes(book, plan):
    """Rules that the plan breaks, but for the length of the visit."""
    return {finding.rule for finding in check(book, plan)} - {"work-done"}


def test_without_the_rule_nobody_works_a_minute_longer():
    assert codes(*until("18:00")) == set()
    assert codes(*until("18:05")) == {"within-shift"}


@pytest.mark.parametrize(
    ("end", "broken"),
    [("18:00", set()), ("18:05", {CODE}), ("18:30", {CODE}), ("18:35", {"within-shift"})],
)
def test_overtime_is_allowed_up_to_the_last_minute_and_not_beyond(end, broken):
    assert codes(*until(end, OVERTIME)) == broken


def test_each_minute_costs_the_weight_and_is_told():
    finding = the_finding(CODE, *until("18:20", OVERTIME))
    assert (finding.hard, finding.cost) == (False, 60)
    assert finding.detail == (
        "Lead-1 works 20 min of overtime, 18:00 to 18:20 on Tuesday 1 December 2026; her shift "
        "ends at 18:00, and 30 min are allowed."
    )
    assert (finding.visits, finding.staff) == (("late",), ("lead-1",))


def test_a_minute_too_many_is_told_with_the_overtime_there_might_be():
    finding = the_finding("within-shift", *until("18:35", OVERTIME))
    assert finding.detail.startswith(
        "Lead-1 is in from 09:00 to 18:00 (or 18:30 in overtime) that day, but is down for"
    )


def test_nobody_works_longer_where_no_minutes_are_set():
    assert codes(*until("18:05", a_setting(CODE, hard=False))) == {"within-shift"}


def test_only_people_with_the_tag_may_stay():
    tagged = a_setting(CODE, hard=False, minutes=30, staff_tags=("late",))
    assert codes(*until("18:30", tagged)) == {"within-shift"}
    staff = (a_lead(tags=("late",)), an_assistant())
    assert codes(*until("18:30", tagged, staff=staff)) == {CODE}


def test_the_first_setting_that_looks_at_somebody_is_hers():
    few = a_setting(CODE, label="few", hard=False, weight=5, minutes=15, staff_tags=("late",))
    many = a_setting(CODE, label="many", hard=False, weight=1, minutes=60)
    staff = (a_lead(tags=("late",)), an_assistant())
    assert codes(*until("18:30", few, many, staff=staff)) == {"within-shift"}
    finding = the_finding(CODE, *until("18:15", few, many, staff=staff))
    assert (finding.label, finding.cost) == ("few", 75)
    assert the_finding(CODE, *until("18:30", many, few, staff=staff)).label == "many"


def test_overtime_ends_where_the_next_shift_begins():
    shifts = (a_shift("lead-1", "9:00", "18:00"), a_shift("lead-1", "18:15", "21:00"))
    assert codes(*until("18:15", OVERTIME, shifts=shifts)) == {CODE}
    assert codes(*until("18:20", OVERTIME, shifts=shifts)) == {"within-shift"}


def test_work_across_the_seam_of_two_shifts_stays_a_breach():
    shifts = (a_shift("lead-1", "9:00", "17:00"), a_shift("lead-1", "17:00", "20:00"))
    assert codes(*until("18:00", OVERTIME, shifts=shifts)) == {"within-shift"}


def test_an_assistant_who_helps_past_her_shift_works_overtime_too():
    visit = a_booking("late", "16:00", phases=(a_shared_phase(180),))
    help_ = a_help("17:00", "18:20")
    phase = a_planned_phase("16:00", "18:20", help_=(help_,))
    book = a_day_book(
        visits=[visit],
        rules=(OVERTIME,),
        shifts=(a_shift("lead-1", "9:00", "20:00"), a_shift("assistant-1", "9:00", "18:00")),
        **HOURS,
    )
    assert the_finding(CODE, book, a_plan(a_placed(visit, phases=[phase]))).staff == (
        "assistant-1",
    )


def test_a_break_after_the_shift_needs_work_after_it():
    rest = a_meal("18:05", "18:15")
    assert codes(*until("18:00", OVERTIME, breaks=[rest])) == {"within-shift"}
    visit = a_booking("late", "17:00", phases=(a_phase(minutes=60),))
    more = a_booking("later", "18:15", phases=(a_phase(minutes=15),))
    placed = (a_placed(visit, "17:00"), a_placed(more, "18:15"))
    book = a_day_book(
        visits=[visit, more],
        rules=(OVERTIME,),
        shifts=(a_shift("lead-1", "9:00", "18:00"),),
        **HOURS,
    )
    assert codes(book, a_plan(*placed, breaks=[rest])) == {CODE}


@pytest.mark.parametrize(("end", "due"), [("18:00", False), ("18:05", True)])
def test_a_shift_that_becomes_longer_than_six_hours_owes_a_meal(end, due):
    meal = a_setting("meal-break", after=360, latest=360)
    shifts = (a_shift("lead-1", "12:00", "18:00"),)
    book, plan = until(end, OVERTIME, meal, shifts=shifts)
    assert bool(findings_of("meal-break", book, plan)) is due


@pytest.mark.parametrize(
    ("code", "figures", "shift", "enough"),
    [
        ("second-meal", {"after": 540}, ("9:00", "18:00"), "18:00"),
        ("break-total", {"after": 120, "minutes": 30, "beyond": 540}, ("9:00", "18:00"), "18:00"),
        ("meal-window", {"longer": 0, "past": "18:00"}, ("9:00", "18:00"), "18:00"),
        ("rest-breaks", {"every": 240, "spread": 0}, ("12:00", "18:00"), "18:00"),
    ],
)
def test_breaks_are_judged_by_the_time_really_on_duty(code, figures, shift, enough):
    """With the breaks that the shift on the rota owes, and five minutes more."""
    breaks = {
        "second-meal": [],
        "break-total": [a_meal("12:00", "12:30")],
        "meal-window": [],
        "rest-breaks": [a_meal("14:00", "14:10", kind="rest")],
    }[code]
    for end, lawful in ((enough, True), ("18:05", False)):
        book, plan = until(
            end,
            OVERTIME,
            a_setting(code, **figures),
            shifts=(a_shift("lead-1", *shift),),
            breaks=breaks,
        )
        assert (findings_of(code, book, plan) == ()) is lawful


def test_overtime_is_a_wish_that_cannot_be_made_hard():
    faults = rule(CODE).faults(a_setting(CODE, hard=True, minutes=30))
    assert [fault.pointer for fault in faults] == ["/hard"]
