"""One break that answers several rules, held against the checker and every choice of breaks."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.daybook import DayBook, Grid
from schemas.plan import BreakKind, PlanResult, SolveStatus
from solver.checker import check
from solver.plan import plan_days
from tests.builders import (
    a_booking,
    a_day_book,
    a_lead,
    a_meal,
    a_phase,
    a_placed,
    a_plan,
    a_request,
    a_setting,
    a_shift,
    a_window,
)

LONG = {"open": (a_window("8:00", "22:00"),), "staff": (a_lead(),)}
NOON = a_setting("meal-window", label="noon", opens="12:00", closes="14:00")
EVENING = a_setting(
    "meal-window",
    label="evening",
    longer=0,
    before="11:00",
    past="15:00",
    opens="14:30",
    closes="17:00",
)


def meals(result: PlanResult) -> list:
    assert result.plan is not None
    return [each for each in result.plan.breaks if each.kind is BreakKind.MEAL]


def early(**figures):
    """A meal that starts from ten to noon; with `NOON` it has only twelve o'clock in common."""
    return a_setting("meal-break", earliest=120, latest=240, **figures)


def a_day(*rules, visits=(), end="18:00", grid=30) -> DayBook:
    facts = {"shifts": (a_shift("lead-1", "8:00", end),), "rules": rules, **LONG}
    return a_day_book(visits=visits, grid=Grid(minutes=grid, arrivals=grid), **facts)


@pytest.mark.parametrize(
    "rules",
    [
        (a_setting("meal-break"), NOON),
        (early(), NOON),
        (NOON, a_setting("break-total", minutes=30, beyond=900)),
        (early(), NOON, a_setting("break-total", minutes=30, beyond=900)),
    ],
    ids=["one within the other", "they overlap", "window and total", "all three"],
)
def test_one_break_is_enough_for_rules_that_it_answers_all(rules):
    """Nine hours and a half of work leave half an hour of ten."""
    visits = [a_booking("early", "8:00", 240), a_booking("late", "12:30", 330)]
    result = plan_days(a_day(*rules, visits=visits))
    assert result.status is SolveStatus.OPTIMAL
    (meal,) = meals(result)
    assert meal.window == a_window("12:00", "12:30")


def test_two_breaks_are_planned_where_no_time_is_good_for_both():
    visits = [a_booking("noon", "11:30", 60)]
    result = plan_days(a_day(early(), NOON, visits=visits))
    assert result.status is SolveStatus.OPTIMAL
    assert len(meals(result)) == 2


def test_the_time_of_a_second_break_goes_to_a_client():
    request = a_request(minutes=90, windows=(a_window("12:30", "14:00"),))
    visits = [a_booking("early", "8:00", 240), request]
    result = plan_days(a_day(early(), NOON, visits=visits))
    assert result.plan is not None
    assert result.plan.declined == ()


def test_a_second_meal_may_be_the_one_of_the_evening_but_not_the_first():
    """Free are half an hour before eleven and half an hour before three, or only one of them."""
    rules = (a_setting("meal-break"), EVENING, a_setting("second-meal", after=480, latest=600))
    work = [a_booking("one", "8:00", 150), a_booking("two", "11:00", 210)]
    work.append(a_booking("three", "15:00", 180))
    result = plan_days(a_day(*rules, visits=work))
    assert [f"{meal.window.start:%H:%M}" for meal in meals(result)] == ["10:30", "14:30"]
    for number, start in ((0, "8:00"), (1, "10:30")):
        fuller = [each for at, each in enumerate(work) if at != number]
        fuller.append(a_booking("more", start, 180 if number == 0 else 240))
        assert plan_days(a_day(*rules, visits=fuller)).status is SolveStatus.INFEASIBLE


def test_a_shared_break_lies_inside_an_install_only_if_both_rules_let_it():
    visit = a_booking("long", "8:00", phases=(a_phase(minutes=480, breakable=True),))
    outside = NOON.model_copy(update={"parameters": {**NOON.parameters, "inside": 0}})
    assert len(meals(plan_days(a_day(early(), NOON, visits=[visit])))) == 1
    refused = plan_days(a_day(early(), outside, visits=[visit]))
    assert refused.status is SolveStatus.INFEASIBLE


CHOICES = {
    "meal-break": st.sampled_from(((60, 180), (120, 240), (120, 300), (0, 1440))).map(
        lambda span: a_setting("meal-break", earliest=span[0], latest=span[1])
    ),
    "second-meal": st.sampled_from((300, 420, 600)).map(
        lambda latest: a_setting("second-meal", after=480, latest=latest)
    ),
    "noon": st.just(NOON),
    "evening": st.just(EVENING),
    "break-total": st.sampled_from((30, 60, 90)).map(
        lambda total: a_setting("break-total", minutes=total, beyond=900, raised=200, part=30)
    ),
}


@st.composite
def days_with_gaps(draw: st.DrawFn, *, of: tuple[str, ...] = tuple(CHOICES)) -> DayBook:
    """Promises that cannot move, half-hours free between them, and up to five rules on meals."""
    starts = draw(st.lists(st.integers(0, 19), min_size=14, max_size=17, unique=True))
    visits = [
        a_booking(f"client-{start}", f"{8 + start // 2}:{30 * (start % 2):02}", 30)
        for start in sorted(starts)
    ]
    names = draw(st.lists(st.sampled_from(of), min_size=2, max_size=4, unique=True))
    return a_day(*(draw(CHOICES[name]) for name in names), visits=visits)


def least_cost(book: DayBook) -> int | None:
    """By trying every choice of half-hour breaks: the least it costs; None if none is lawful."""
    taken = {booking.promise.start for booking in book.bookings}
    free = [
        f"{8 + step // 2}:{30 * (step % 2):02}"
        for step in range(20)
        if a_window("8:00", "18:00").start.replace(hour=8 + step // 2, minute=30 * (step % 2))
        not in taken
    ]
    placed = [
        a_placed(each, f"{each.promise.start:%H:%M}", grid=30).model_copy(
            update={"chair": "chair-1"}
        )
        for each in book.bookings
    ]
    least = None
    for size in range(5):
        for chosen in combinations(free, size):
            breaks = [a_meal(start, later(start)) for start in chosen]
            findings = check(book, a_plan(*placed, breaks=breaks))
            if not any(finding.hard for finding in findings):
                cost = sum(finding.cost for finding in findings)
                least = cost if least is None else min(least, cost)
    return least


def later(clock: str) -> str:
    hour, minute = map(int, clock.split(":"))
    return f"{hour + (minute + 30) // 60}:{(minute + 30) % 60:02}"


@settings(max_examples=12)
@given(days_with_gaps())
def test_a_day_can_be_planned_if_some_choice_of_breaks_is_lawful(book: DayBook) -> None:
    planned = plan_days(book, seconds=60).status is SolveStatus.OPTIMAL
    possible = least_cost(book) is not None
    if any(rule.code == "break-total" for rule in book.rules or ()):
        # Its parts come beside the other breaks, which may be a break more than the law asks.
        assert possible or not planned
    else:
        assert planned is possible


@settings(max_examples=12)
@given(
    days_with_gaps(),
    st.lists(st.integers(1, 9), min_size=5, max_size=5),
)
def test_soft_rules_cost_as_little_as_the_best_choice_of_breaks(
    book: DayBook, weights: list[int]
) -> None:
    rules = tuple(
        rule.model_copy(update={"hard": False, "weight": weight})
        for rule, weight in zip(book.rules or (), weights, strict=False)
    )
    soft = book.model_copy(update={"rules": rules})
    result = plan_days(soft, seconds=60)
    assert sum(finding.cost for finding in result.findings) == least_cost(soft)
