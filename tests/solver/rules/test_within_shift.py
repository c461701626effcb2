"""Everybody works and rests within one of her own shifts."""

from __future__ import annotations

from tests.builders import (
    a_booking,
    a_day_book,
    a_help,
    a_lead,
    a_meal,
    a_placed,
    a_plan,
    a_planned_phase,
    a_shared_phase,
    a_shift,
    an_assistant,
)
from tests.judging import findings_of, the_finding

CODE = "within-shift"


def book(visit, *shifts):
    return a_day_book(visits=[visit], shifts=shifts)


def test_work_may_fill_the_shift():
    visit = a_booking(minutes=240)
    facts = book(visit, a_shift("lead-1", "9:00", "13:00"))
    assert findings_of(CODE, facts, a_plan(a_placed(visit, "9:00"))) == ()


def test_five_minutes_past_the_shift_are_told_with_its_hours():
    visit = a_booking(minutes=245)
    facts = book(visit, a_shift("lead-1", "9:00", "13:00"))
    finding = the_finding(CODE, facts, a_plan(a_placed(visit, "9:00")))
    assert finding.staff == ("lead-1",)
    assert finding.detail.startswith("Lead-1 is in from 09:00 to 13:00 that day")


def test_somebody_elses_shift_does_not_help():
    visit = a_booking(minutes=240)
    facts = book(visit, a_shift("assistant-1"))
    assert "not in that day" in the_finding(CODE, facts, a_plan(a_placed(visit))).detail


def test_work_across_the_seam_of_two_shifts_is_a_breach():
    visit = a_booking(minutes=240)
    facts = book(visit, a_shift("lead-1", "9:00", "11:00"), a_shift("lead-1", "11:00", "18:00"))
    finding = the_finding(CODE, facts, a_plan(a_placed(visit, "9:00")))
    assert "09:00 to 11:00 and 11:00 to 18:00" in finding.detail


def test_the_second_shift_of_a_day_serves():
    visit = a_booking(start="14:00", minutes=240)
    facts = book(visit, a_shift("lead-1", "9:00", "12:00"), a_shift("lead-1", "14:00", "18:00"))
    assert findings_of(CODE, facts, a_plan(a_placed(visit, "14:00"))) == ()


def test_help_outside_the_assistants_shift_is_a_breach():
    visit = a_booking(phases=(a_shared_phase(240),))
    phase = a_planned_phase("9:00", "12:00", help_=[a_help("9:00", "11:00")])
    plan = a_plan(a_placed(visit, phases=[phase]))
    facts = book(visit, a_shift("lead-1"), a_shift("assistant-1", "9:05", "18:00"))
    assert the_finding(CODE, facts, plan).staff == ("assistant-1",)


def test_a_break_outside_the_shift_is_a_breach():
    visit = a_booking(minutes=240)
    facts = book(visit, a_shift("lead-1", "9:00", "13:15"))
    plan = a_plan(a_placed(visit, "9:00"), breaks=[a_meal("13:00", "13:30")])
    finding = the_finding(CODE, facts, plan)
    assert "is down for meal break" in finding.detail


def test_a_stranger_is_in_on_no_day():
    visit = a_booking(minutes=240)
    phases = [a_planned_phase("9:00", "13:00", performer="ghost")]
    facts = a_day_book(visits=[visit], staff=(a_lead(), an_assistant()))
    assert "“ghost”" in the_finding(CODE, facts, a_plan(a_placed(visit, phases=phases))).detail
