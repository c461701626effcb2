"""A month sold to clients who come one by one: a tiny one, for the benchmark's own soundness."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from schemas.plan import Plan
from solver.checker import hard_findings
from tests.benchmarks.full_books import Size
from tests.benchmarks.month import Month, Sales, first_fit, month, ranked, read_out, sell_month
from tests.benchmarks.month_bound import best_plan, bound, listed

POLICIES = {"first fit": first_fit, "ours": ranked(), "read out": read_out}
by_policy: Callable[..., object] = pytest.mark.parametrize("name", sorted(POLICIES))


@cache
def asked() -> Month:
    return month(Size(weeks=1, chairs=2, leads=1, assistants=1), 14, seed=1)


@cache
def sales(name: str) -> Sales:
    return sell_month(asked(), POLICIES[name])


@by_policy
def test_nobody_is_sold_twice_and_nobody_what_she_would_not_take(name: str) -> None:
    sold = sales(name)
    names = [client.request.id for client in sold.bought]
    assert len(set(names)) == len(names)
    placed = {visit.visit: visit.window for visit in sold.plan.visits}
    assert sorted(placed) == sorted(names)
    for client in sold.bought:
        assert any(window.contains(placed[client.request.id]) for window in client.windows)


@by_policy
def test_the_book_sold_passes_the_checker(name: str) -> None:
    sold = sales(name)
    requests = tuple(client.whole for client in sold.bought)
    book = asked().book.model_copy(update={"requests": requests})
    plan = sold.plan.model_copy(update={"declined": ()})
    assert hard_findings(book, plan) == ()
    assert hard_findings(book, Plan(visits=(*plan.visits, plan.visits[0]), breaks=plan.breaks))


def test_no_policy_and_no_plan_in_hindsight_sells_more_than_the_bound() -> None:
    clients = asked().clients
    known = asked().book.model_copy(update={"requests": tuple(each.whole for each in clients)})
    sets = listed(known)
    limit = bound(sets)
    assert limit.minutes < sum(client.minutes for client in clients), "choice matters"
    assert max(sales(name).minutes for name in POLICIES) <= limit.minutes
    assert best_plan(known, sets, limit, seconds=0.5) <= limit.minutes


def test_the_same_seed_gives_the_same_month() -> None:
    size = Size(weeks=1, chairs=2, leads=1, assistants=1)
    assert month(size, 14, seed=1) == asked()
    assert month(size, 14, seed=2) != asked()
