"""A salon's own rules, put together from the parts there are, on one Monday."""

from __future__ import annotations

from datetime import timedelta

import pytest

from schemas.plan import SolveStatus
from solver.checker import check
from solver.cross_check import cross_check
from solver.plan import plan_days
from tests.builders import (
    DAY,
    a_chair,
    a_day_book,
    a_lead,
    a_phase,
    a_placed,
    a_plan,
    a_request,
    a_setting,
    a_shift,
    a_wash,
    a_window,
)

MONDAY = DAY - timedelta(days=DAY.weekday())
RULES = {
    "no long install late": a_setting(
        "latest-start", label="no-long-install-late", longer=360, after="13:00"
    ),
    "two children": a_setting(
        "at-most-together", label="two-children", visits=2, visit_tags=("child",)
    ),
    "no basin on Monday morning": a_setting(
        "resource-closed",
        label="basin-monday",
        what="basins",
        weekday=1,
        since="00:00",
        until="12:00",
    ),
}


def a_monday(rules, day=MONDAY):
    """Three children at once, a long install after lunch, a wash in the morning."""

    def window(start, end):
        return (a_window(start, end, day),)

    children = [
        a_request(f"child-{n}", 60, windows=window("9:00", "10:30"), tags=("child",))
        for n in range(3)
    ]
    long = a_request("long", 365, windows=window("13:15", "20:00"))
    washed = a_request("washed", phases=(a_wash(), a_phase(minutes=30)))
    washed = washed.model_copy(update={"windows": window("10:30", "13:00")})
    leads = tuple(a_lead(f"lead-{n}") for n in range(1, 4))
    book = a_day_book(
        visits=[*children, long, washed],
        staff=leads,
        shifts=tuple(a_shift(lead.id, "9:00", "20:00", day) for lead in leads),
        chairs=tuple(a_chair(f"chair-{n}") for n in range(1, 4)),
        open=(a_window("9:00", "20:00", day),),
        rules=tuple(rules),
    )
    cross_check(book)
    return book


def declined(book) -> set[str]:
    result = plan_days(book)
    assert result.status is SolveStatus.OPTIMAL
    assert result.plan is not None
    assert result.findings == ()
    # Which child stays away does not matter.
    return {name.partition("-")[0] for name in result.plan.declined}


def test_without_rules_of_the_house_everybody_comes():
    assert declined(a_monday(())) == set()


def test_all_rules_of_the_house_hold_together():
    assert declined(a_monday(RULES.values())) == {"child", "long"}
    # She can wait until the basin opens at noon; five minutes less and she cannot.
    busy = a_monday(RULES.values())
    washed = busy.requests[-1]
    early = washed.model_copy(update={"windows": (a_window("10:30", "12:55", MONDAY),)})
    book = busy.model_copy(update={"requests": (*busy.requests[:-1], early)})
    assert declined(book) == {"child", "long", "washed"}


@pytest.mark.parametrize(
    ("left_out", "comes"),
    [("no long install late", "long"), ("two children", "child")],
)
def test_each_rule_alone_keeps_its_clients_away(left_out, comes):
    rules = [setting for name, setting in RULES.items() if name != left_out]
    assert comes not in declined(a_monday(rules))


def test_on_a_tuesday_the_basin_is_open_in_the_morning():
    tuesday = MONDAY + timedelta(days=1)
    book = a_monday(RULES.values(), tuesday)
    washed = book.requests[-1].model_copy(update={"windows": (a_window("9:00", "10:30", tuesday),)})
    book = book.model_copy(update={"requests": (*book.requests[:-1], washed)})
    assert declined(book) == {"child", "long"}


def test_the_checker_names_each_rule_by_its_label():
    book = a_monday(RULES.values())
    starts = ("9:00", "9:00", "9:30", "13:15", "10:30")
    visits = [
        a_placed(request, start, lead=f"lead-{1 + n % 3}", chair=f"chair-{1 + n % 3}", day=MONDAY)
        for n, (request, start) in enumerate(zip(book.requests, starts, strict=True))
    ]
    found = {(finding.rule, finding.label) for finding in check(book, a_plan(*visits))}
    assert found == {(setting.code, setting.label) for setting in RULES.values()}


def test_soft_rules_of_the_house_are_bent_and_told_by_their_labels():
    soft = [
        setting.model_copy(update={"hard": False, "weight": weight})
        for weight, setting in enumerate(RULES.values(), start=3)
    ]
    result = plan_days(a_monday(soft))
    assert result.plan is not None
    assert result.plan.declined == ()
    assert [(finding.label, finding.cost) for finding in result.findings] == [
        ("no-long-install-late", 3),
        ("two-children", 4),
    ]
