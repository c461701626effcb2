"""Every client comes and goes within one day's opening hours."""

from __future__ import annotations

from datetime import timedelta

from tests.builders import DAY, a_booking, a_day_book, a_placed, a_plan, a_window
from tests.judging import findings_of, the_finding

CODE = "opening-hours"
NEXT = DAY + timedelta(days=1)


def book(visit, *hours):
    return a_day_book(visits=[visit], open=hours or (a_window("9:00", "13:00"),))


def test_a_visit_from_opening_to_closing_is_in_time():
    visit = a_booking(minutes=240)
    assert findings_of(CODE, book(visit), a_plan(a_placed(visit, "9:00"))) == ()


def test_five_minutes_past_closing_are_told_with_the_closing_time():
    visit = a_booking(minutes=245)
    finding = the_finding(CODE, book(visit), a_plan(a_placed(visit, "9:00")))
    assert "we close at 13:00" in finding.detail
    assert finding.remedy.startswith("Start 5 min earlier")


def test_five_minutes_before_opening_are_a_breach_that_names_the_opening():
    visit = a_booking(minutes=60)
    finding = the_finding(CODE, book(visit), a_plan(a_placed(visit, "8:55")))
    assert "when we are closed" in finding.detail
    assert "09:00" in finding.remedy


def test_a_start_at_closing_time_is_after_hours():
    visit = a_booking(minutes=60)
    finding = the_finding(CODE, book(visit), a_plan(a_placed(visit, "13:00")))
    assert "when we are closed" in finding.detail


def test_a_visit_over_two_opening_windows_is_in_neither():
    visit = a_booking(minutes=480)
    hours = (a_window("9:00", "13:00"), a_window("13:00", "19:00"))
    assert findings_of(CODE, book(visit, *hours), a_plan(a_placed(visit, "9:00")))


def test_the_second_day_counts_as_well():
    visit = a_booking(minutes=60)
    hours = (a_window("9:00", "13:00"), a_window("9:00", "13:00", NEXT))
    assert findings_of(CODE, book(visit, *hours), a_plan(a_placed(visit, "12:00", day=NEXT))) == ()
