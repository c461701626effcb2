"""Rules on breaks and hours in the model: each changes the plan, hard and soft.

What the model allows is held against the checker on days that leave it no choice.
"""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from schemas.daybook import DayBook, Grid
from schemas.plan import BreakKind, PlanResult, SolveStatus
from solver.checker import check
from solver.plan import plan_days
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
