"""Who needs not change her chair is not asked to."""

from __future__ import annotations

from schemas.plan import Plan
from schemas.repair import NoShow, WhatChanged
from solver.repair.seats import on_known_chairs
from tests.builders import a_chair, a_closure, a_plan
from tests.solver.repair.running_days import MIA, a_book, ana, bea, mended, placed

QUIET = (a_chair("one", features=("quiet",)), a_chair("two"))


def chairs(plan: Plan) -> dict[str, str | None]:
    return {visit.visit: visit.chair for visit in plan.visits}


def a_day(**changes):
    """Ana on chair one and Bea on chair two, at the same time."""
    one, two = ana(), bea("10:00")
    book = a_book(one, two, chairs=QUIET, **changes)
    return book, a_plan(placed(one, "9:00"), placed(two, "10:00", lead=MIA, chair="two"))


def test_two_who_changed_seats_for_nothing_are_put_back():
    book, before = a_day()
    crossed = a_plan(
        placed(ana(), "9:00", chair="two"), placed(bea("10:00"), "10:00", lead=MIA, chair="one")
    )
    assert chairs(on_known_chairs(book, crossed, before)) == {"ana": "one", "bea": "two"}


def test_a_chair_that_is_closed_is_not_gone_back_to():
    book, before = a_day()
    book = book.model_copy(update={"closures": (a_closure("8:00", "19:00", "one"),)})
    late = a_plan(placed(ana(), "9:00", chair="two"))
    assert chairs(on_known_chairs(book, late, before)) == {"ana": "two"}


def test_a_chair_that_somebody_else_has_by_then_is_not_gone_back_to():
    one, two, other = ana(), bea("10:00"), ana().model_copy(update={"id": "cleo"})
    book = a_book(one, two, other, chairs=(*QUIET, a_chair("three")))
    before = a_plan(placed(one, "9:00"), placed(two, "10:00", lead=MIA, chair="two"))
    plan = a_plan(
        placed(one, "9:00", chair="three"),
        placed(two, "10:00", lead=MIA, chair="one"),
        placed(other, "9:00", lead="kim", chair="two"),
    )
    found = chairs(on_known_chairs(book, plan, before))
    assert found["cleo"] == "two"
    assert found["bea"] == "one"
    assert found["ana"] == "three"


def test_a_client_who_does_not_come_moves_nobody():
    book, plan = a_day()
    result = mended(book, plan, "8:00", NoShow(visit="ana"))
    assert [each for each in result.differences if each.what is WhatChanged.CHAIR] == []
