"""Rules on hours across the days of a book: days are planned in turn, and hold each other."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from schemas.daybook import DayBook, Grid
from schemas.plan import SolveStatus
from solver.checker import check
from solver.plan import plan_days
from tests.builders import (
    a_booking,
    a_day_book,
    a_lead,
    a_placed,
    a_plan,
    a_request,
    a_setting,
    a_shift,
    a_window,
)

MONDAY = date(2026, 11, 30)


def day(number: int) -> date:
    return MONDAY + timedelta(days=number)


def a_week(visits, *rules, days=7, hours=("6:00", "23:00"), staff=("lead-1",)) -> DayBook:
    every = [day(number) for number in range(days)]
    return a_day_book(
        visits=visits,
        grid=Grid(minutes=30, arrivals=30),
        staff=tuple(a_lead(name) for name in staff),
        open=tuple(a_window(*hours, each) for each in every),
        shifts=tuple(a_shift(name, *hours, each) for name in staff for each in every),
        rules=rules,
    )


def promised(number: int, start: int, minutes: int, **changes):
    clock = f"{start // 2}:{30 * (start % 2):02}"
    name = f"client-{number}-{start}"
    return a_booking(name, clock, minutes, day=day(number), **changes)


def is_lawful(book: DayBook) -> bool:
    """Whether the only plan there is, every promise to the minute, has no finding."""
    placed = (
        a_placed(each, f"{each.promise.start:%H:%M}", day=each.promise.start.date(), grid=30)
        for each in book.bookings
    )
    return not check(book, a_plan(*placed))


half_hours = st.lists(
    st.tuples(st.integers(0, 6), st.integers(12, 36), st.integers(1, 10)),
    min_size=1,
    max_size=7,
    unique_by=lambda each: each[0],
)
RULES = (
    a_setting("rest-between-days", minutes=600),
    a_setting("weekly-hours", minutes=900),
    a_setting("weekly-rest", minutes=2100),
)


@given(half_hours, st.sampled_from(RULES))
@example([(number, 14, 10) for number in range(7)], RULES[2])
@example([(0, 36, 10), (1, 16, 2)], RULES[0])
@example([(0, 35, 10), (1, 30, 10), (2, 12, 10)], RULES[1])
@settings(max_examples=40)
def test_the_days_in_turn_allow_what_the_checker_allows(spans, rule):
    book = a_week([promised(number, start, 30 * size) for number, start, size in spans], rule)
    assert (plan_days(book).plan is not None) is is_lawful(book)


def test_a_late_evening_makes_the_next_morning_start_later():
    morning = a_window("6:00", "14:00", day(1))
    visits = [promised(0, 40, 120), a_request(minutes=60, windows=(morning,))]
    result = plan_days(a_week(visits, a_setting("rest-between-days"), days=2))
    assert result.plan is not None
    starts = {visit.visit: visit.window.start for visit in result.plan.visits}
    assert starts["request-1"] == a_window("9:00", "10:00", day(1)).start


def test_an_early_promise_makes_the_evening_before_end_earlier():
    early = promised(1, 14, 60)
    early = early.model_copy(update={"placed": a_placed(early, "7:00", day=day(1), grid=30)})
    evening = a_window("18:00", "23:00", day(0))
    for minutes, declined in ((120, ()), (150, ("request-1",))):
        visits = [early, a_request(minutes=minutes, windows=(evening,))]
        result = plan_days(a_week(visits, a_setting("rest-between-days"), days=2))
        assert result.plan is not None
        assert result.plan.declined == declined


def test_the_hours_of_a_week_are_shared_by_its_days():
    visits = [
        a_request(f"request-{number}", 300, windows=(a_window("6:00", "23:00", day(number)),))
        for number in range(4)
    ]
    result = plan_days(a_week(visits, a_setting("weekly-hours", minutes=900), days=4))
    assert result.plan is not None
    assert len(result.plan.declined) == 1
    assert result.status is SolveStatus.FEASIBLE  # another split might have been worth more


def test_the_hours_of_a_week_are_kept_for_what_is_placed_later():
    later = promised(3, 20, 300)
    later = later.model_copy(update={"placed": a_placed(later, "10:00", day=day(3), grid=30)})
    visits = [
        later,
        a_request("request-1", 400, windows=(a_window("6:00", "23:00", day(0)),)),
    ]
    result = plan_days(a_week(visits, a_setting("weekly-hours", minutes=600), days=4))
    assert result.plan is not None
    assert result.plan.declined == ("request-1",)


def test_a_new_week_has_its_hours_anew():
    visits = [promised(6, 20, 300), promised(7, 20, 300)]
    result = plan_days(a_week(visits, a_setting("weekly-hours", minutes=300), days=8))
    assert result.plan is not None


def test_saturday_ends_in_time_for_the_long_rest_of_the_week():
    visits = [promised(number, 20, 120) for number in range(5)]
    visits.append(a_request(minutes=240, windows=(a_window("6:00", "23:00", day(5)),)))
    visits.append(a_request("request-2", 240, windows=(a_window("12:00", "23:00", day(5)),)))
    result = plan_days(a_week(visits, a_setting("weekly-rest"), days=7))
    assert result.plan is not None
    assert result.plan.declined == ("request-2",)
    (saturday,) = (each for each in result.plan.visits if each.visit == "request-1")
    assert saturday.window.end <= a_window("12:00", "13:00", day(5)).end


@pytest.mark.parametrize(
    ("rule", "visits", "cost"),
    [
        ("rest-between-days", [promised(0, 40, 120), promised(1, 14, 60)], 5),
        ("weekly-rest", [promised(number, 20, 120) for number in range(7)], 5),
        ("weekly-rest", [promised(number, 20, 120) for number in range(5)], 0),
    ],
)
def test_a_soft_rule_costs_once_for_each_person(rule, visits, cost):
    result = plan_days(a_week(visits, a_setting(rule, hard=False, weight=5)))
    assert result.plan is not None
    assert sum(finding.cost for finding in result.findings) == cost
    preferences = next(tier for tier in result.tiers if tier.name == "preferences")
    assert preferences.value == cost


def test_a_stretch_may_cross_hours_that_are_planned_apart():
    book = a_day_book(
        visits=[a_booking("one", "9:00", 180), a_booking("two", "12:30", 150)],
        staff=(a_lead(),),
        open=(a_window("9:00", "12:00"), a_window("12:00", "18:00")),
        shifts=(a_shift("lead-1", "9:00", "12:00"), a_shift("lead-1", "12:00", "18:00")),
    )
    for pause, kept in ((30, True), (45, False)):
        rule = a_setting("longest-stretch", minutes=300, pause=pause)
        result = plan_days(book.model_copy(update={"rules": (rule,)}))
        assert (result.plan is not None) is kept
