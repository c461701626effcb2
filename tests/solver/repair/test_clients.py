"""Late arrivals, no-shows, overruns and walk-ins, at the edges of phases too."""

from __future__ import annotations

import pytest

from schemas.plan import SolveStatus
from schemas.repair import LateArrival, NoShow, Overrun, PromisePart, WalkIn, WhatChanged
from solver.errors import DayBookError
from tests.builders import (
    a_chair,
    a_lead,
    a_meal,
    a_phase,
    a_plan,
    a_request,
    a_setting,
    a_window,
    at,
)
from tests.solver.repair.running_days import (
    LEA,
    MIA,
    a_book,
    ana,
    bea,
    changed,
    mended,
    placed,
    tiers,
    visit_of,
)


def a_morning(**changes):
    """Ana 9 to 13 and Bea 13 to 17, both with Lea on chair one."""
    one, two = ana(), bea()
    return a_book(one, two, **changes), a_plan(placed(one, "9:00"), placed(two, "13:00"))


def test_a_late_client_starts_when_she_comes_and_her_promise_moves_with_her():
    book, plan = a_morning()
    result = mended(book, plan, "12:50", LateArrival(visit="bea", arrives=at("13:40")))
    assert visit_of(result, "bea").window == a_window("13:40", "17:40")
    assert result.renegotiate == ()
    start = changed(result, WhatChanged.START, "bea")
    assert (start.before, start.after) == ("13:00", "13:40")
    assert [person.name for person in start.tell] == ["Bea", "Lea"]
    assert result.status is SolveStatus.OPTIMAL


def test_a_late_client_off_the_grid_starts_at_the_next_step():
    book, plan = a_morning()
    event = LateArrival(visit="bea", arrives=at("13:12"))
    result = repair_without_past(book, plan, "13:01", event)
    assert visit_of(result, "bea").window.start == at("13:15")


def test_a_client_who_comes_before_her_time_changes_nothing():
    book, plan = a_morning()
    result = mended(book, plan, "8:30", LateArrival(visit="ana", arrives=at("8:45")))
    assert result.plan is not None
    assert result.differences == ()
    assert visit_of(result, "ana") == plan.visits[0]


@pytest.mark.parametrize("now", ["9:00", "9:05", "9:07"], ids=["at the start", "after", "off grid"])
def test_a_client_who_is_not_there_has_not_begun_whatever_the_plan_says(now):
    book, plan = a_morning(staff=(a_lead(LEA, name="Lea"),))
    # Lea's day has room for both only if Bea waits.
    result = repair_without_past(book, plan, now, LateArrival(visit="ana", arrives=at("10:00")))
    assert visit_of(result, "ana").window.start == at("10:00")
    assert visit_of(result, "bea").window.start == at("14:00")
    (owed,) = result.renegotiate
    assert (owed.visit, owed.broken) == ("bea", (PromisePart.START,))
    assert owed.proposed is not None
    assert owed.proposed.start == at("14:00")
    assert "Bea: would it suit you if you start at 14:00 instead of 13:00" in owed.say


def repair_without_past(book, plan, now, event):
    """The plan's past is not true where a client did not come."""
    from solver.repair import repair  # noqa: PLC0415

    return repair(book, plan, [event], at(now), seconds=20.0)


def test_another_lead_takes_over_rather_than_break_a_promise():
    book, plan = a_morning()
    result = mended(book, plan, "12:00", Overrun(visit="ana", minutes=90))
    assert visit_of(result, "ana").window.end == at("14:30")
    assert visit_of(result, "bea").window.start == at("13:00")
    assert visit_of(result, "bea").lead == MIA
    assert tiers(result)["broken-promises"] == 0


def test_a_promised_lead_and_a_promised_start_cannot_both_hold_in_an_overrun():
    one, two = ana(), bea(lead=LEA)
    book = a_book(one, two)
    plan = a_plan(placed(one, "9:00"), placed(two, "13:00"))
    result = mended(book, plan, "12:00", Overrun(visit="ana", minutes=60))
    (owed,) = result.renegotiate
    assert owed.visit == "bea"
    assert len(owed.broken) == 1
    assert tiers(result)["broken-promises"] == 1


@pytest.mark.parametrize("now", ["10:00", "12:59", "13:00"], ids=["running", "late", "at its end"])
def test_an_overrun_is_of_the_phase_that_runs_until_its_very_end(now):
    phases = (a_phase("wash", 60), a_phase(minutes=180))
    one = ana(phases=phases)
    plan = a_plan(placed(one, "9:00"))
    result = mended(a_book(one), plan, now, Overrun(visit="ana", minutes=30))
    visit = visit_of(result, "ana")
    which = 0 if now == "10:00" else 1
    lengths = [phase.window.minutes for phase in visit.phases]
    assert lengths == [90 if which == 0 else 60, 210 if which == 1 else 180]


def test_a_phase_that_is_over_by_plan_may_still_have_run_on():
    phases = (a_phase("wash", 60), a_phase(minutes=180))
    one = ana(phases=phases)
    plan = a_plan(placed(one, "9:00"))
    event = Overrun(visit="ana", minutes=20, phase=0)
    result = repair_without_past(a_book(one), plan, "10:07", event)
    visit = visit_of(result, "ana")
    assert visit.phases[0].window == a_window("9:00", "10:20")
    assert visit.phases[1].window.start == at("10:20")


def test_an_overrun_of_a_slow_lead_is_counted_in_her_own_minutes():
    one = ana(minutes=200)
    slow = a_lead(LEA, name="Lea", pace=1.25)
    book = a_book(one, staff=(slow,))
    plan = a_plan(placed(one, "9:00", stretch=50))
    result = mended(book, plan, "11:00", Overrun(visit="ana", minutes=30))
    assert visit_of(result, "ana").window.minutes == 280


def test_overtime_is_asked_for_where_a_running_visit_cannot_end_in_time():
    one = ana("13:00", 300)
    plan = a_plan(placed(one, "13:00"))
    result = mended(a_book(one), plan, "17:00", Overrun(visit="ana", minutes=45))
    assert visit_of(result, "ana").window.end == at("18:45")
    shift = changed(result, WhatChanged.SHIFT)
    assert (shift.staff, shift.before, shift.after) == (LEA, "18:00", "18:45")
    assert [person.id for person in shift.tell] == [LEA]


def test_a_meal_that_no_overrun_leaves_time_for_is_bent_and_said_to_be():
    rule = a_setting("meal-break", latest=270)
    one = ana("9:00", 240)
    book = a_book(one, rules=(rule,), staff=(a_lead(LEA, name="Lea"),))
    plan = a_plan(placed(one, "9:00"), breaks=(a_meal("13:00", "13:30", LEA),))
    result = mended(book, plan, "12:30", Overrun(visit="ana", minutes=60))
    assert visit_of(result, "ana").window.end == at("14:00")
    assert [finding.rule for finding in result.findings] == ["meal-break"]


def test_a_meal_moves_behind_an_overrun_where_the_rule_allows():
    one = ana("9:00", 240)
    book = a_book(one, rules=(a_setting("meal-break"),), staff=(a_lead(LEA, name="Lea"),))
    plan = a_plan(placed(one, "9:00"), breaks=(a_meal("13:00", "13:30", LEA),))
    result = mended(book, plan, "12:30", Overrun(visit="ana", minutes=30))
    assert result.plan is not None
    assert [rest.window for rest in result.plan.breaks] == [a_window("13:30", "14:00")]
    meal = changed(result, WhatChanged.BREAK)
    assert (meal.staff, meal.before, meal.after) == (LEA, "13:00 to 13:30", "13:30 to 14:00")


def test_a_no_show_frees_her_place_and_moves_nobody():
    book, plan = a_morning()
    result = repair_without_past(book, plan, "9:20", NoShow(visit="ana"))
    assert result.plan is not None
    assert [visit.visit for visit in result.plan.visits] == ["bea"]
    assert visit_of(result, "bea") == plan.visits[1]
    (gone,) = result.differences
    assert (gone.what, gone.visit, gone.after) == (WhatChanged.LEFT_OUT, "ana", None)
    assert [person.id for person in gone.tell] == [LEA]
    assert result.renegotiate == ()


def test_a_walk_in_is_taken_where_nobody_is_hurt():
    book, plan = a_morning()
    wanda = a_request("wanda", 60, client="Wanda")
    result = mended(book, plan, "10:07", WalkIn(request=wanda))
    visit = visit_of(result, "wanda")
    assert visit.window.start == at("10:15")
    assert visit.lead == MIA
    assert changed(result, WhatChanged.TAKEN_IN).visit == "wanda"
    assert tiers(result)["people-told"] == 1


def test_a_walk_in_is_turned_away_rather_than_break_a_promise():
    book, plan = a_morning(staff=(a_lead(LEA, name="Lea"),), chairs=(a_chair("one"),))
    wanda = a_request("wanda", 90, client="Wanda")
    result = mended(book, plan, "10:00", WalkIn(request=wanda))
    assert result.plan is not None
    assert result.plan.declined == ("wanda",)
    assert "Wanda cannot be taken in today" in changed(result, WhatChanged.LEFT_OUT).say
    assert result.renegotiate == ()


def test_a_walk_in_after_closing_is_turned_away():
    book, plan = a_morning()
    result = mended(book, plan, "18:58", WalkIn(request=a_request("wanda", 60, client="Wanda")))
    assert result.plan is not None
    assert result.plan.declined == ("wanda",)


def test_a_walk_in_at_the_minute_a_phase_ends_may_start_then():
    book, plan = a_morning(staff=(a_lead(LEA, name="Lea"),), chairs=(a_chair("one"),))
    wanda = a_request("wanda", 60, client="Wanda")
    result = mended(book, plan, "17:00", WalkIn(request=wanda))
    assert visit_of(result, "wanda").window == a_window("17:00", "18:00")


def test_waiting_requests_stay_declined_when_the_day_is_repaired():
    one = ana()
    book = a_book(one, a_request("later", 30))
    plan = a_plan(placed(one, "9:00"), declined=("later",))
    result = mended(book, plan, "10:00", Overrun(visit="ana", minutes=10))
    assert result.plan is not None
    assert result.plan.declined == ("later",)


@pytest.mark.parametrize(
    ("event", "pointer"),
    [
        (LateArrival(visit="nobody", arrives=at("10:00")), "/events/0/visit"),
        (NoShow(visit="nobody"), "/events/0/visit"),
        (Overrun(visit="ana", minutes=10, phase=3), "/events/0/phase"),
        (Overrun(visit="ana", minutes=1, phase=0), "/events/0/minutes"),
        (WalkIn(request=a_request("ana")), "/events/0/request/id"),
    ],
    ids=["late", "no-show", "phase", "over anyway", "walk-in"],
)
def test_an_event_that_makes_no_sense_is_refused_with_its_field(event, pointer):
    book, plan = a_morning()
    with pytest.raises(DayBookError) as refused:
        repair_without_past(book, plan, "13:30", event)
    assert [fault.pointer for fault in refused.value.faults] == [pointer]


def test_a_client_whose_install_runs_on_stays_past_her_own_window():
    one = a_request("ana", 240, client="Ana", windows=(a_window("9:00", "13:00"),))
    plan = a_plan(placed(one, "9:00"))
    result = mended(a_book(one), plan, "12:00", Overrun(visit="ana", minutes=30))
    assert visit_of(result, "ana").window.end == at("13:30")
    (request,) = result.day_book.requests
    assert request.windows == (a_window("9:00", "13:30"),)
    assert changed(result, WhatChanged.FINISH).tell[0].name == "Ana"
