"""A requested visit lies in a window that suits the client, and times keep the grid."""

from __future__ import annotations

from datetime import date

from schemas.daybook import Grid
from tests.builders import (
    a_booking,
    a_day_book,
    a_help,
    a_meal,
    a_phase,
    a_placed,
    a_plan,
    a_planned_phase,
    a_request,
    a_shared_phase,
    a_shift,
    a_window,
)
from tests.judging import findings_of, the_finding

CODE = "client-window"


def judge(visit, start, **facts):
    return findings_of(CODE, a_day_book(visits=[visit], **facts), a_plan(a_placed(visit, start)))


def test_a_visit_may_fill_its_window():
    assert judge(a_request(windows=(a_window("9:00", "13:00"),)), "9:00") == ()


def test_five_minutes_past_the_window_are_told_with_the_window():
    request = a_request(minutes=245, windows=(a_window("9:00", "13:00"),))
    (finding,) = judge(request, "9:00")
    assert "what suits her is 09:00 to 13:00" in finding.detail


def test_two_windows_that_touch_do_not_make_one():
    request = a_request(windows=(a_window("9:00", "11:00"), a_window("11:00", "13:00")))
    assert len(judge(request, "9:00")) == 1


def test_the_second_window_serves():
    request = a_request(windows=(a_window("9:00", "11:00"), a_window("12:00", "17:00")))
    assert judge(request, "12:00") == ()


def test_more_than_two_windows_are_counted_and_not_read_out():
    windows = [a_window(f"{hour}:00", f"{hour + 1}:00") for hour in (9, 11, 13, 15)]
    (finding,) = judge(a_request(windows=tuple(windows[:2])), "9:00")
    assert "11:00 to 12:00 on Tuesday 1 December 2026." in finding.detail
    (finding,) = judge(a_request(windows=tuple(windows)), "9:00")
    assert "11:00 to 12:00 on Tuesday 1 December 2026 and 2 more." in finding.detail


def test_clients_arrive_on_the_quarter_hour():
    (finding,) = judge(a_request(), "9:05")
    assert "clients arrive every 15 minutes" in finding.detail


def test_a_booking_may_start_as_promised_off_the_arrivals_grid():
    assert judge(a_booking(start="9:05"), "9:05") == ()


def test_a_booking_that_is_moved_goes_to_the_arrivals_grid():
    assert len(judge(a_booking(start="9:05", tolerance=30), "9:10")) == 1


def test_a_time_off_the_grid_is_told():
    request = a_request(phases=(a_phase(minutes=61), a_phase("finish", 30)))
    phases = [a_planned_phase("9:00", "10:01"), a_planned_phase("10:01", "10:31", "finish")]
    facts = a_day_book(visits=[request])
    finding = the_finding(CODE, facts, a_plan(a_placed(request, phases=phases)))
    assert "is off the 5-minute grid (1 more of this visit)" in finding.detail


def test_help_and_breaks_keep_the_grid_too():
    request = a_request(phases=(a_shared_phase(240),))
    phases = [a_planned_phase("9:00", "12:00", help_=[a_help("9:01", "11:01")])]
    plan = a_plan(a_placed(request, phases=phases), breaks=[a_meal("13:02", "13:32")])
    findings = findings_of(CODE, a_day_book(visits=[request]), plan)
    assert [finding.visits for finding in findings] == [("request-1",), ()]
    assert findings[0].detail.endswith("is off the 5-minute grid.")


def test_an_arrivals_grid_of_fifty_minutes_counts_from_midnight():
    # 13:20 is sixteen times fifty minutes from midnight; 10:20 is no multiple.
    grid = Grid(minutes=10, arrivals=50)
    assert judge(a_request(), "13:20", grid=grid) == ()
    assert len(judge(a_request(), "10:20", grid=grid)) == 1


def test_the_grid_is_the_local_clock_where_the_offset_is_no_whole_hour():
    # Kathmandu is 5:45 ahead of UTC: a quarter past the hour there is on the half hour of UTC.
    zone, day = "Asia/Kathmandu", date(2026, 12, 1)
    window = a_window("9:00", "19:00", day, zone)
    request = a_request(windows=(window,), phases=(a_phase(minutes=60),))
    placed = a_placed(request, "9:00")
    moved = placed.model_copy(
        update={
            "window": a_window("9:30", "10:30", day, zone),
            "phases": (
                placed.phases[0].model_copy(
                    update={"window": a_window("9:30", "10:30", day, zone)}
                ),
            ),
        }
    )
    facts = a_day_book(
        visits=[request],
        zone=zone,
        open=(window,),
        shifts=(a_shift(),),
        grid=Grid(minutes=30, arrivals=30),
    )
    assert findings_of(CODE, facts, a_plan(moved)) == ()
