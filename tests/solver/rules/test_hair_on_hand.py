"""The hair of a visit is on the shelf on its day."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from tests.builders import DAY, a_booking, a_day_book, a_placed, a_plan, a_setting, a_window
from tests.judging import findings_of, the_finding
from tests.solver.figures.hair_builders import a_material, hair, stock

CODE = "hair-on-hand"
TOMORROW = DAY + timedelta(days=1)


def book_of(*visits, stock_lines=(), setting=None):
    """`visits` are pairs of a day and the hair taken."""
    bookings = [
        a_booking(f"v{number}", "9:00", 60, day=day, hair=taken)
        for number, (day, taken) in enumerate(visits)
    ]
    book = a_day_book(
        visits=bookings,
        materials=(a_material(),),
        stock=stock_lines,
        rules=(setting or a_setting(CODE),),
    )
    plan = a_plan(
        *(a_placed(each, day=day) for each, (day, _) in zip(bookings, visits, strict=True))
    )
    return book, plan


def test_hair_that_is_short_is_told_with_grams_and_day():
    finding = the_finding(CODE, *book_of((DAY, (hair(150.5),)), stock_lines=(stock(100),)))
    assert finding.visits == ("v0",)
    assert finding.detail == (
        "V0 on Tuesday 1 December 2026: 150.5 g of fill-black are needed, 100 g will be there."
    )
    assert finding.remedy.startswith("Order 50.5 g more in time")
    assert finding.window == a_window("9:00", "10:00")


def test_exactly_as_much_as_is_needed_will_do():
    lines = (stock(0.3),)
    # 0.1 + 0.2 is more than 0.3 in floats.
    assert findings_of(CODE, *book_of((DAY, (hair(0.1), hair(0.2))), stock_lines=lines)) == ()


def test_hair_that_the_client_brings_is_her_own():
    assert findings_of(CODE, *book_of((DAY, (hair(900, brought=True),)))) == ()


def test_what_the_stock_does_not_list_is_not_there():
    assert "0 g will be there" in the_finding(CODE, *book_of((DAY, (hair(1),)))).detail


def test_two_visits_of_a_day_share_the_shelf_and_are_told_together():
    two = (DAY, (hair(60),)), (DAY, (hair(60),))
    finding = the_finding(CODE, *book_of(*two, stock_lines=(stock(100),)))
    assert finding.visits == ("v0", "v1")


def test_what_a_day_takes_is_gone_the_day_after():
    two = (DAY, (hair(60),)), (TOMORROW, (hair(60),))
    finding = the_finding(CODE, *book_of(*two, stock_lines=(stock(100),)))
    assert finding.visits == ("v1",)
    assert "40 g will be there" in finding.detail


def test_a_short_day_leaves_an_empty_shelf_and_no_debt():
    two = (DAY, (hair(200),)), (TOMORROW, (hair(60),))
    lines = (stock(100, (60.0, TOMORROW)),)
    assert the_finding(CODE, *book_of(*two, stock_lines=lines)).visits == ("v0",)


@pytest.mark.parametrize(
    ("arrives", "days", "breaches"),
    [
        (DAY, 0, 0),  # on the day itself
        (TOMORROW, 0, 1),
        (DAY, 1, 1),
        (DAY - timedelta(days=1), 1, 0),  # exactly the day before
    ],
)
def test_hair_under_way_counts_once_it_has_been_there_so_many_days(
    arrives: date, days: int, breaches: int
):
    lines = (stock(0, (100.0, arrives)),)
    facts = book_of((DAY, (hair(80),)), stock_lines=lines, setting=a_setting(CODE, days=days))
    assert len(findings_of(CODE, *facts)) == breaches


def test_a_soft_rule_costs_its_weight_for_each_material_and_day():
    setting = a_setting(CODE, hard=False, weight=7)
    taken = (hair(1), hair(1, "bulk-brown"))
    found = findings_of(CODE, *book_of((DAY, taken), (TOMORROW, (hair(1),)), setting=setting))
    assert [finding.cost for finding in found] == [7, 7, 7]
