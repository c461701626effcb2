"""Nobody works on two heads at once, nor works in a break."""

from __future__ import annotations

from schemas.plan import BreakKind
from tests.builders import (
    a_booking,
    a_chair,
    a_day_book,
    a_help,
    a_lead,
    a_meal,
    a_phase,
    a_placed,
    a_plan,
    a_planned_phase,
    a_shared_phase,
    a_window,
    an_assistant,
)
from tests.judging import findings_of, the_finding

CODE = "hands-one-client"


def book(*visits):
    return a_day_book(
        visits=visits,
        chairs=(a_chair(), a_chair("chair-2")),
        staff=(a_lead(), a_lead("lead-2"), an_assistant()),
    )


def test_a_lead_may_go_from_one_head_straight_to_the_next():
    one, two = a_booking("one", "9:00", 120), a_booking("two", "11:00", 120)
    plan = a_plan(a_placed(one, "9:00"), a_placed(two, "11:00", chair="chair-2"))
    assert findings_of(CODE, book(one, two), plan) == ()


def test_two_heads_at_once_are_named_with_person_clients_and_time():
    one, two = a_booking("one", "9:00", 120), a_booking("two", "10:30", 120)
    plan = a_plan(a_placed(one, "9:00"), a_placed(two, "10:30", chair="chair-2"))
    finding = the_finding(CODE, book(one, two), plan)
    assert (finding.staff, finding.visits) == (("lead-1",), ("one", "two"))
    assert finding.window == a_window("10:30", "11:00")
    assert finding.detail.startswith("Lead-1 is on One's braiding and on Two's braiding at once")


def test_a_lead_may_leave_between_two_phases_of_a_visit():
    one = a_booking("one", "9:00", phases=(a_phase("wash", 30), a_phase("braiding", 60)))
    two = a_booking("two", "9:30", phases=(a_phase("finish", 30),))
    phases = [a_planned_phase("9:00", "9:30", "wash"), a_planned_phase("10:00", "11:00")]
    plan = a_plan(a_placed(one, phases=phases), a_placed(two, "9:30", chair="chair-2"))
    assert findings_of(CODE, book(one, two), plan) == ()


def shared(name, start, end, helping, lead):
    """A visit of 240 minutes' braiding that an assistant shares for a while."""
    visit = a_booking(name, start, phases=(a_shared_phase(240),))
    phases = [a_planned_phase(start, end, performer=lead, help_=[a_help(*helping)])]
    chair = "chair-1" if lead == "lead-1" else "chair-2"
    return visit, a_placed(visit, phases=phases, lead=lead, chair=chair)


def test_an_assistant_floats_between_two_heads_in_one_morning():
    one, placed_one = shared("one", "9:00", "12:00", ("9:00", "11:00"), "lead-1")
    two, placed_two = shared("two", "9:00", "12:00", ("11:00", "12:00"), "lead-2")
    assert findings_of(CODE, book(one, two), a_plan(placed_one, placed_two)) == ()


def test_an_assistant_on_two_heads_at_once_is_a_breach():
    one, placed_one = shared("one", "9:00", "12:00", ("9:00", "11:00"), "lead-1")
    two, placed_two = shared("two", "9:00", "12:00", ("10:55", "12:00"), "lead-2")
    finding = the_finding(CODE, book(one, two), a_plan(placed_one, placed_two))
    assert finding.staff == ("assistant-1",)
    assert finding.window == a_window("10:55", "11:00")


def test_a_break_inside_her_own_breakable_phase_is_no_work():
    one = a_booking("one", phases=(a_shared_phase(240),))
    plan = a_plan(a_placed(one, stretch=30), breaks=[a_meal("11:00", "11:30", inside="one")])
    assert findings_of(CODE, book(one), plan) == ()


def test_a_break_that_reaches_past_the_phase_is_not_inside():
    one = a_booking("one", phases=(a_shared_phase(240),))
    plan = a_plan(a_placed(one, stretch=30), breaks=[a_meal("13:20", "13:50", inside="one")])
    assert the_finding(CODE, book(one), plan).window == a_window("13:20", "13:30")


def test_a_break_in_a_phase_that_allows_none_is_work_in_a_break():
    one = a_booking("one", phases=(a_phase(minutes=240),))
    plan = a_plan(a_placed(one, stretch=30), breaks=[a_meal("11:00", "11:30", inside="one")])
    finding = the_finding(CODE, book(one), plan)
    assert finding.detail.startswith("Lead-1 works in the meal break: One's braiding")


def test_a_break_does_not_excuse_work_on_another_head():
    one = a_booking("one", phases=(a_shared_phase(240),))
    two = a_booking("two", "11:00", phases=(a_phase("finish", 30),))
    plan = a_plan(
        a_placed(one, stretch=30),
        a_placed(two, "11:00", chair="chair-2"),
        breaks=[a_meal("11:00", "11:30", inside="one")],
    )
    finding = the_finding(CODE, book(one, two), plan)
    assert finding.visits == ("two",)
    assert "works in the meal break" in finding.detail


def test_a_break_that_only_touches_work_is_fine():
    one = a_booking("one", "9:00", 120)
    plan = a_plan(a_placed(one), breaks=[a_meal("11:00", "11:30")])
    assert findings_of(CODE, book(one), plan) == ()


def test_help_in_her_own_break_is_a_breach():
    one, placed = shared("one", "9:00", "12:00", ("9:00", "11:00"), "lead-1")
    plan = a_plan(placed, breaks=[a_meal("10:00", "10:30", "assistant-1")])
    assert the_finding(CODE, book(one), plan).staff == ("assistant-1",)


def test_two_breaks_at_once_are_a_breach():
    breaks = [a_meal("12:00", "12:30"), a_meal("12:25", "12:35", kind=BreakKind.REST)]
    finding = the_finding(CODE, book(), a_plan(breaks=breaks))
    assert finding.detail.startswith("Lead-1 has two breaks at once, 12:25 to 12:30")


def test_the_same_break_written_twice_is_two_breaks_at_once():
    one = a_booking("one", phases=(a_shared_phase(240),))
    twice = [a_meal("11:00", "11:30", inside="one")] * 2
    plan = a_plan(a_placed(one, stretch=60), breaks=twice)
    assert "two breaks at once" in the_finding(CODE, book(one), plan).detail


def test_nobody_helps_herself():
    one = a_booking("one", phases=(a_shared_phase(240),))
    helped = a_planned_phase("9:00", "12:00", help_=[a_help("9:00", "11:00", "lead-1")])
    finding = the_finding(CODE, book(one), a_plan(a_placed(one, phases=[helped])))
    assert (finding.visits, finding.staff) == (("one",), ("lead-1",))
