"""The planner against trying everything, on random tiny days.

`PARTLINE_SMALL_BOOKS=500` tries more seeds than the few of an ordinary run.
"""

from __future__ import annotations

import os
from random import Random

import pytest

from schemas.booking import Promise
from schemas.daybook import DayBook
from schemas.plan import Plan, SolveStatus
from solver.checker import check
from solver.plan import plan_days
from tests.builders import a_booking, a_setting, a_window
from tests.solver.exhaustive import Exhaustive
from tests.solver.tiny_days import tiny_day

SEEDS = range(int(os.environ.get("PARTLINE_SMALL_BOOKS", "25")))
WISHES: dict[str, dict[str, int | str]] = {
    "supervised-apprentice": {"level": 4},
    "no-small-holes": {"minutes": 90, "spare": 30},
    "resource-closed": {"weekday": 2, "since": "09:40", "until": "11:00"},
    "even-shares": {"minutes": 60, "slack": 0},
    "fewest-changes": {},
    "early-help": {"minutes": 30},
}
"""House rules made soft beside those of the day, with figures that bite on such short days."""


@pytest.mark.parametrize("seed", SEEDS)
def test_the_accepted_value_is_what_trying_everything_gives(seed: int) -> None:
    day_book = tiny_day(seed)
    best = Exhaustive(day_book).best_value()
    result = plan_days(day_book, seconds=20)
    if best is None:
        assert result.status is SolveStatus.INFEASIBLE
        assert result.findings
        return
    assert result.plan is not None
    assert not [finding for finding in check(day_book, result.plan) if finding.hard]
    value, preferences = result.tiers[:2]
    assert preferences.value == sum(finding.cost for finding in result.findings)
    assert (value.name, value.value, value.bound) == ("accepted-value", best, best)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_soft_rules_cost_is_what_the_findings_cost(seed: int) -> None:
    day_book, rng = tiny_day(seed), Random(seed)
    listed = {rule.code for rule in day_book.rules or ()}
    soft = [
        rule.model_copy(update={"hard": False, "weight": rng.randint(0, 9)})
        for rule in day_book.rules or ()
    ]
    soft += [
        a_setting(code, hard=False, weight=rng.randint(0, 9))
        for code in ("preferred-lead", "preferred-time")
        if code not in listed
    ]
    soft += [
        a_setting(code, hard=False, weight=rng.randint(0, 9), **figures)
        for code, figures in WISHES.items()
        if code not in listed and rng.random() < 0.5
    ]
    requests = tuple(
        request.model_copy(
            update={"preferred_lead": "lead-0", "preferred": a_window("10:00", "10:30")}
        )
        for request in day_book.requests
    )
    book = day_book.model_copy(update={"rules": tuple(soft), "requests": requests})
    if rng.random() < 0.5:
        # What stood at another time, or with somebody who has gone home, may have to change.
        book = _on_the_book(book, plan_days(day_book, seconds=20).plan)
    result = plan_days(book, seconds=20)
    if result.plan is None:
        assert result.status is SolveStatus.INFEASIBLE
        return
    assert result.status is SolveStatus.OPTIMAL
    preferences = result.tiers[1]
    costs = sum(finding.cost for finding in result.findings)
    assert preferences.value == preferences.bound == costs


def _on_the_book(book: DayBook, plan: Plan | None) -> DayBook:
    """The book with the plan's requests as bookings that may come two hours earlier or later."""
    asked = {visit.id: visit for visit in book.requests}
    bookings = tuple(
        a_booking(
            placed.visit,
            phases=asked[placed.visit].phases,
            max_assistants=asked[placed.visit].max_assistants,
            chair_features=asked[placed.visit].chair_features,
            placed=placed,
            tags=asked[placed.visit].tags,
        ).model_copy(update={"promise": Promise(start=placed.window.start, tolerance=120)})
        for placed in (plan.visits if plan else ())
        if placed.visit in asked
    )
    kept = {booking.id for booking in bookings}
    return book.model_copy(
        update={
            "bookings": (*book.bookings, *bookings),
            "requests": tuple(each for each in book.requests if each.id not in kept),
        }
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_a_published_plan_holds_without_any_search(seed: int) -> None:
    day_book = tiny_day(seed)
    plan = plan_days(day_book, seconds=20).plan
    if plan is None:
        return
    asked = {visit.id: visit for visit in (*day_book.bookings, *day_book.requests)}
    bookings = tuple(
        a_booking(
            placed.visit,
            lead=placed.lead,
            phases=asked[placed.visit].phases,
            max_assistants=asked[placed.visit].max_assistants,
            chair_features=asked[placed.visit].chair_features,
            placed=placed,
        ).model_copy(update={"promise": Promise(start=placed.window.start, lead=placed.lead)})
        for placed in plan.visits
    )
    book = day_book.model_copy(update={"bookings": bookings, "requests": (), "breaks": plan.breaks})
    again = plan_days(book, seconds=20, stop=lambda: True)
    assert again.plan is not None
    assert [visit.phases for visit in again.plan.visits] == [visit.phases for visit in plan.visits]
