"""Every confirmed booking keeps its start, its lead and its latest finish."""

from __future__ import annotations

from schemas.booking import BookingStatus
from tests.builders import a_booking, a_day_book, a_lead, a_placed, a_plan, an_assistant
from tests.judging import findings_of, the_finding

CODE = "promise-kept"


def book(*bookings):
    return a_day_book(visits=bookings, staff=(a_lead(), a_lead("lead-2"), an_assistant()))


def judge(booking, start="9:00", **how):
    return findings_of(CODE, book(booking), a_plan(a_placed(booking, start, **how)))


def test_a_start_moved_by_exactly_the_tolerance_keeps_the_promise():
    booking = a_booking(start="9:30", tolerance=30)
    assert judge(booking, "9:00") == ()
    assert judge(booking, "10:00") == ()


def test_a_start_moved_by_more_breaks_it_and_the_remedy_says_by_how_much():
    booking = a_booking(start="9:30", tolerance=30)
    (finding,) = judge(booking, "10:15")
    assert "is promised 09:30" in finding.detail
    assert "10:15" in finding.detail
    assert finding.remedy.startswith("Move the start by 15 min or more earlier")
    (finding,) = judge(booking, "8:45")
    assert finding.remedy.startswith("Move the start by 15 min or more later")


def test_the_promised_lead_is_the_lead():
    booking = a_booking(lead="lead-2")
    assert judge(booking, lead="lead-2") == ()
    (finding,) = judge(booking, lead="lead-1")
    assert finding.staff == ("lead-2", "lead-1")


def test_the_latest_finish_is_in_time():
    assert judge(a_booking(latest_finish="13:00")) == ()
    (finding,) = judge(a_booking(latest_finish="12:55"))
    assert "done by 12:55" in finding.detail
    assert finding.remedy.startswith("Finish 5 min earlier")


def test_a_confirmed_booking_without_a_place_is_a_breach():
    assert "has no place" in the_finding(CODE, book(a_booking()), a_plan()).detail


def test_a_confirmed_booking_is_not_declined():
    finding = the_finding(CODE, book(a_booking()), a_plan(declined=["booking-1"]))
    assert finding.detail == (
        "Booking-1 is promised 09:00 on Tuesday 1 December 2026 and is declined."
    )


def test_a_tentative_booking_may_be_declined():
    tentative = a_booking(status=BookingStatus.TENTATIVE)
    assert findings_of(CODE, book(tentative), a_plan(declined=["booking-1"])) == ()


def test_a_tentative_booking_that_is_placed_is_promised_likewise():
    assert len(judge(a_booking(status=BookingStatus.TENTATIVE), "9:15")) == 1


def test_a_cancelled_booking_is_absent():
    cancelled = a_booking(status=BookingStatus.CANCELLED)
    assert findings_of(CODE, book(cancelled), a_plan()) == ()
    (finding,) = judge(cancelled)
    assert finding.detail.startswith("Booking-1 cancelled, and is placed")
