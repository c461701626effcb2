"""Rules on breaks and hours in the model: each changes the plan, hard and soft.

What the model allows is held against the checker on days that leave it no choice.
"""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from schemas.daybook import DayBook, Grid
from schemas.plan import BreakKind, PlanResult, SolveStatus
from solver.checker import check
from solver.days import part_days
from solver.model.build import build_day
from solver.model.constraints import post_all
from solver.model.search import Budget, run
from solver.model.variables import build_variables
from solver.plan import plan_days
from solver.rules import settings_in_force
from tests.builders import (
    a_booking,
    a_day_book,
    a_lead,
    a_phase,
    a_placed,
    a_plan,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    a_window,
    an_assistant,
)

LONG = {"open": (a_window("8:00", "22:00"),), "staff": (a_lead(),)}


def bent(result: PlanResult) -> list[tuple[str, int]]:
    """The soft findings; the tier of preferences must be their sum."""
    assert result.status is SolveStatus.OPTIMAL
    found = [(finding.rule, finding.cost) for finding in result.findings]
    preferences = next(tier for tier in result.tiers if tier.name == "preferences")
    assert preferences.value == preferences.bound == sum(cost for _, cost in found)
    return found


def clock(step: int) -> str:
    return f"{8 + step // 2}:{30 * (step % 2):02}"


def fixed_day(spans: list[tuple[int, int]], *rules, **changes) -> DayBook:
    """A lead's promises at these half hours after eight, which cannot move."""
    visits = [
        a_booking(f"client-{number}", clock(start), 30 * (end - start))
        for number, (start, end) in enumerate(spans)
    ]
    facts = {"shifts": (a_shift("lead-1", "8:00", "22:00"),), "rules": rules, **LONG, **changes}
    return a_day_book(visits=visits, grid=Grid(minutes=30, arrivals=30), **facts)


def laid(book: DayBook):
    return a_plan(
        *(a_placed(booking, f"{booking.promise.start:%H:%M}", grid=30) for booking in book.bookings)
    )


@st.composite
def spans_of_a_day(draw: st.DrawFn) -> list[tuple[int, int]]:
    at, found = 0, []
    while at < 26 and len(found) < 6:
        start = at + draw(st.integers(0, 4))
        end = start + draw(st.integers(1, 9))
        if end > 28:
            break
        found.append((start, end))
        at = end
    return found


@given(spans_of_a_day(), st.sampled_from((90, 150, 240)), st.sampled_from((30, 60, 90)))
@example([(0, 3), (5, 8), (10, 13)], 90, 60)
@example([(1, 4), (5, 8)], 90, 60)
@settings(max_examples=60)
def test_the_model_lets_pass_the_stretches_that_the_checker_lets_pass(spans, minutes, pause):
    book = fixed_day(spans, a_setting("longest-stretch", minutes=minutes, pause=pause))
    lawful = not check(book, laid(book))
    assert (plan_days(book).status is SolveStatus.OPTIMAL) is lawful


def test_a_long_install_is_interrupted_so_that_nobody_works_too_long_on_end():
    visit = a_booking(phases=(a_shared_phase(480, shared=False, help_skill=None),))
    rules = (
        a_setting("meal-break", earliest=0, latest=600),
        a_setting("longest-stretch", minutes=300),
    )
    result = plan_days(
        a_day_book(
            visits=[visit], rules=rules, **LONG, shifts=(a_shift("lead-1", "8:00", "20:00"),)
        )
    )
    assert result.plan is not None
    (meal,) = result.plan.breaks
    assert meal.inside == "booking-1"
    assert a_window("12:00", "14:00").overlaps(meal.window)


def test_a_pause_may_be_a_gap_and_the_break_with_which_the_braiding_begins():
    # Half an hour waited, then half an hour of break: an hour between the prep and the braiding.
    phases = (
        a_phase("hair-prep", 30),
        a_phase(minutes=120, breakable=True),
    )
    rules = (
        a_setting("meal-break", after=90, minutes=30, earliest=0, latest=90, inside=1),
        a_setting("longest-wait", minutes=30),
        a_setting("longest-stretch", minutes=120, pause=60),
    )
    request = a_booking("client", "9:30", phases=phases)
    shifts = (a_shift("lead-1", "9:30", "13:30"),)
    book = a_day_book(
        visits=[request], rules=rules, shifts=shifts, grid=Grid(minutes=30, arrivals=30)
    )
    (part,) = part_days(book)
    day = build_day(book, part.openings, part.shifts, part.visits, settings_in_force(book))
    model = build_variables(day)
    post_all(model)
    assert run(model.cp, Budget(60.0)) == cp_model.OPTIMAL


def test_a_request_that_would_make_the_stretch_too_long_waits_for_a_pause():
    request = a_request(minutes=120, windows=(a_window("11:00", "14:30"),))
    rules = (a_setting("longest-stretch", minutes=300, pause=30),)
    book = a_day_book(visits=[a_booking(start="8:00", minutes=240), request], rules=rules, **LONG)
    book = book.model_copy(update={"shifts": (a_shift("lead-1", "8:00", "22:00"),)})
    result = plan_days(book)
    assert result.plan is not None
    placed = next(visit for visit in result.plan.visits if visit.visit == "request-1")
    assert placed.window == a_window("12:30", "14:30")


def test_a_soft_longest_stretch_costs_once_for_each_person():
    rule = a_setting("longest-stretch", hard=False, weight=9, minutes=120)
    assert bent(plan_days(fixed_day([(0, 6), (8, 14)], rule))) == [("longest-stretch", 9)]
    assert bent(plan_days(fixed_day([(0, 4), (8, 12)], rule))) == []


def rests(result: PlanResult) -> list:
    assert result.plan is not None
    return [each for each in result.plan.breaks if each.kind is BreakKind.REST]


def test_rests_lie_in_their_parts_of_the_shift_beside_the_meal():
    rules = (a_setting("meal-break"), a_setting("rest-breaks"))
    result = plan_days(a_day_book(rules=rules))
    assert result.status is SolveStatus.OPTIMAL
    assert result.plan is not None
    assert len(rests(result)) == 4  # lead and assistant, nine hours each
    assert len(result.plan.breaks) == 6


def test_a_meal_and_rests_inside_one_install_stretch_it_by_all_of_them():
    visit = a_booking(phases=(a_shared_phase(500, shared=False, help_skill=None),))
    rules = (a_setting("meal-break"), a_setting("rest-breaks"))
    book = a_day_book(
        visits=[visit], rules=rules, staff=(a_lead(),), open=(a_window("9:00", "18:00"),)
    )
    result = plan_days(book)
    assert result.status is SolveStatus.INFEASIBLE  # 500 and 50 do not go into 540
    shorter = visit.model_copy(
        update={"phases": (a_shared_phase(490, shared=False, help_skill=None),)}
    )
    result = plan_days(book.model_copy(update={"bookings": (shorter,)}))
    assert result.plan is not None
    inside = [each for each in result.plan.breaks if each.inside == "booking-1"]
    assert {each.kind for each in inside} == {BreakKind.MEAL, BreakKind.REST}
    minutes = sum(each.window.minutes for each in inside)
    assert result.plan.visits[0].window.minutes == 490 + minutes


@pytest.mark.parametrize("spread", [0, 1])
def test_a_soft_rest_costs_for_each_that_has_no_room(spread):
    setting = a_setting("rest-breaks", hard=False, weight=5, spread=spread, minutes=10)
    book = a_day_book(visits=[a_booking(minutes=535)], staff=(a_lead(),), rules=(setting,))
    assert sum(cost for _, cost in bent(plan_days(book))) == 10


def test_phases_that_allow_no_break_are_kept_whole():
    book = a_day_book(
        visits=[a_booking(phases=(a_phase(minutes=540),))],
        staff=(a_lead(),),
        rules=(a_setting("rest-breaks"),),
    )
    assert plan_days(book).status is SolveStatus.INFEASIBLE


def meals(result: PlanResult) -> list:
    assert result.plan is not None
    return [each for each in result.plan.breaks if each.kind is BreakKind.MEAL]


ELEVEN = {"shifts": (a_shift("lead-1", "8:00", "19:00"),), **LONG}


@pytest.mark.parametrize("first", [True, False])
def test_a_second_meal_follows_a_first_whether_another_rule_asks_for_it_or_not(first):
    rules = [a_setting("second-meal"), *([a_setting("meal-break")] if first else [])]
    result = plan_days(a_day_book(rules=tuple(rules), **ELEVEN))
    assert result.status is SolveStatus.OPTIMAL
    one, two = meals(result)
    assert one.window.end <= two.window.start


def test_a_soft_second_meal_costs_once_where_there_is_no_room():
    rule = a_setting("second-meal", hard=False, weight=4)
    book = a_day_book(visits=[a_booking(start="8:00", minutes=660)], rules=(rule,), **ELEVEN)
    assert bent(plan_days(book)) == [("second-meal", 4)]


def test_the_parts_of_a_break_may_lie_in_an_install_apart_from_each_other():
    visit = a_booking(start="8:00", phases=(a_shared_phase(600, shared=False, help_skill=None),))
    rules = (a_setting("break-total"), a_setting("longest-stretch", minutes=240, pause=15))
    result = plan_days(a_day_book(visits=[visit], rules=rules, **ELEVEN))
    assert result.status is SolveStatus.OPTIMAL
    assert sum(each.window.minutes for each in meals(result)) == 45
    assert sum(each.inside == "booking-1" for each in meals(result)) >= 2


def test_the_meal_of_the_house_counts_towards_the_minutes_of_a_law():
    rules = (a_setting("meal-break"), a_setting("break-total"))
    result = plan_days(a_day_book(rules=rules, **ELEVEN))
    assert sorted(each.window.minutes for each in meals(result)) == [15, 30]


def test_a_soft_total_costs_once_where_there_is_no_room():
    rule = a_setting("break-total", hard=False, weight=4)
    book = a_day_book(visits=[a_booking(start="8:00", minutes=640)], rules=(rule,), **ELEVEN)
    assert bent(plan_days(book)) == [("break-total", 4)]


def test_two_settings_of_a_window_give_two_meals_at_their_times():
    noon = a_setting("meal-window", label="noon")
    evening = a_setting(
        "meal-window",
        label="evening",
        longer=0,
        minutes=20,
        before="11:00",
        past="18:00",
        opens="17:00",
        closes="19:00",
    )
    result = plan_days(a_day_book(rules=(noon, evening), **ELEVEN))
    assert result.status is SolveStatus.OPTIMAL
    one, two = meals(result)
    assert a_window("11:00", "14:00").contains(one.window)
    assert a_window("17:00", "19:00").contains(two.window)


def test_a_meal_midway_holds_the_middle_of_the_shift():
    rule = a_setting("meal-window", since="13:00", before="06:00", past="00:00", midway=1)
    visit = a_booking(start="13:00", phases=(a_shared_phase(360, shared=False, help_skill=None),))
    facts = {**LONG, "shifts": (a_shift("lead-1", "13:00", "20:00"),)}
    result = plan_days(a_day_book(visits=[visit], rules=(rule,), **facts))
    (meal,) = meals(result)
    assert meal.window.start <= a_window("16:30", "17:00").start <= meal.window.end


def test_a_soft_window_costs_for_each_setting_that_has_no_room():
    rule = a_setting("meal-window", hard=False, weight=6)
    book = a_day_book(visits=[a_booking(start="8:00", minutes=600)], rules=(rule,), **ELEVEN)
    assert bent(plan_days(book)) == [("meal-window", 6)]


@given(spans_of_a_day(), st.integers(2, 20))
@settings(max_examples=25)
def test_the_model_counts_the_hours_of_a_day_as_the_checker_does(spans, steps):
    book = fixed_day(spans, a_setting("daily-hours", minutes=30 * steps))
    lawful = not check(book, laid(book))
    assert (plan_days(book).status is SolveStatus.OPTIMAL) is lawful


def test_a_day_that_is_full_declines_what_would_be_too_much():
    visits = [a_booking(start="8:00", minutes=240), a_request(minutes=120)]
    for minutes, declined in ((360, ()), (355, ("request-1",))):
        rule = a_setting("daily-hours", minutes=minutes)
        result = plan_days(a_day_book(visits=visits, rules=(rule,), **ELEVEN))
        assert result.plan is not None
        assert result.plan.declined == declined


def test_a_meal_inside_and_the_help_of_another_are_not_the_leads_hours():
    visit = a_booking(start="8:00", phases=(a_shared_phase(360),))
    rules = (a_setting("meal-break"), a_setting("daily-hours", minutes=330, staff_tags=("short",)))
    facts = {
        "staff": (a_lead(tags=("short",)), an_assistant()),
        "open": LONG["open"],
        "shifts": (a_shift("lead-1", "8:00", "19:00"), a_shift("assistant-1", "8:00", "19:00")),
    }
    result = plan_days(a_day_book(visits=[visit], rules=rules, **facts))
    assert result.status is SolveStatus.OPTIMAL
    alone = {**facts, "staff": facts["staff"][:1], "shifts": facts["shifts"][:1]}
    assert plan_days(a_day_book(visits=[visit], rules=rules, **alone)).status is (
        SolveStatus.INFEASIBLE
    )


@pytest.mark.parametrize(
    ("rule", "spans", "cost"),
    [
        (a_setting("daily-hours", hard=False, weight=3, minutes=60), [(0, 4)], 3),
        (a_setting("weekly-hours", hard=False, weight=3, minutes=60), [(0, 4)], 3),
        (a_setting("weekly-hours", hard=False, weight=3, minutes=60), [(0, 2)], 0),
    ],
)
def test_soft_hours_cost_once_for_each_person(rule, spans, cost):
    assert sum(paid for _, paid in bent(plan_days(fixed_day(spans, rule)))) == cost
