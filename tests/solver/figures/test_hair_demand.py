"""Hair demand per day, recomputed by pandas from the bookings and the shelf."""

from __future__ import annotations

import random
from datetime import timedelta
from math import ceil

import pandas as pd
import pytest

from schemas.booking import BookingStatus
from solver.errors import DayBookError, InputError
from solver.figures import hair_demand
from tests.builders import DAY, a_booking, a_placed
from tests.solver.figures.hair_builders import a_book, a_material, hair, stock

WEEK = [DAY + timedelta(days=offset) for offset in range(7)]


def test_a_day_short_of_hair_says_how_many_packs_to_order_by_when() -> None:
    book = a_book(a_booking(hair=(hair(250),)), stock=(stock(120),))
    (line,) = hair_demand(book, DAY, DAY).lines
    assert (line.needed, line.available, line.short) == (250, 120, 130)
    assert (line.packs_to_order, line.order_by) == (2, DAY - timedelta(days=3))


def test_earlier_demand_is_off_the_shelf_and_arrivals_are_on() -> None:
    bookings = [a_booking(f"b-{n}", day=WEEK[n], hair=(hair(80),)) for n in range(3)]
    book = a_book(*bookings, stock=(stock(100, (70, WEEK[2])),))
    lines = hair_demand(book, WEEK[0], WEEK[6]).lines
    assert [line.available for line in lines] == [100, 20, 70]
    assert [line.short for line in lines] == [0, 60, 10]


def test_the_rest_of_a_pack_ordered_earlier_serves_later_days() -> None:
    bookings = [a_booking(f"b-{n}", day=WEEK[n], hair=(hair(40),)) for n in range(4)]
    report = hair_demand(a_book(*bookings), WEEK[0], WEEK[6])
    assert [line.packs_to_order for line in report.lines] == [1, 0, 1, 0]
    assert report.totals[0].packs_to_order == ceil(160 / 100)
    assert report.totals[0].order_by == WEEK[0] - timedelta(days=3)


def test_hair_the_client_brings_is_needed_but_never_short() -> None:
    book = a_book(a_booking(hair=(hair(250, brought=True), hair(30))), stock=(stock(30),))
    (line,) = hair_demand(book, DAY, DAY).lines
    assert (line.needed, line.brought_by_clients, line.short) == (280, 250, 0)


def test_tentative_bookings_are_shown_apart_and_cancelled_ones_not_at_all() -> None:
    book = a_book(
        a_booking("a", hair=(hair(50),), status=BookingStatus.TENTATIVE),
        a_booking("b", hair=(hair(70),), status=BookingStatus.CANCELLED),
    )
    (line,) = hair_demand(book, DAY, DAY).lines
    assert (line.needed, line.tentative, line.short, line.visits) == (0, 50, 0, ())


def test_a_booking_counts_on_the_local_date_it_is_placed_on() -> None:
    booking = a_booking(day=WEEK[0], hair=(hair(50),), tolerance=2000)
    moved = booking.model_copy(update={"placed": a_placed(booking, day=WEEK[1])})
    lines = hair_demand(a_book(moved), WEEK[0], WEEK[6]).lines
    assert [line.date for line in lines] == [WEEK[1]]


def test_days_before_the_first_asked_for_have_emptied_the_shelf() -> None:
    bookings = [a_booking(f"b-{n}", day=WEEK[n], hair=(hair(80),)) for n in range(2)]
    book = a_book(*bookings, stock=(stock(100),))
    (line,) = hair_demand(book, WEEK[1], WEEK[1]).lines
    assert line.available == 20
    (line,) = hair_demand(book, WEEK[1], WEEK[1], stock_as_of=WEEK[1]).lines
    assert line.available == 100


def test_nothing_is_short_before_the_day_the_stock_was_counted() -> None:
    bookings = [a_booking(f"b-{n}", day=WEEK[n], hair=(hair(80),)) for n in range(2)]
    lines = hair_demand(a_book(*bookings), WEEK[0], WEEK[1], stock_as_of=WEEK[1]).lines
    assert [line.short for line in lines] == [0, 80]


def test_an_unknown_material_is_refused_with_its_pointer() -> None:
    with pytest.raises(DayBookError) as refused:
        hair_demand(a_book(a_booking(hair=(hair(1, "no-such-hair"),))), DAY, DAY)
    assert refused.value.faults[0].pointer == "/bookings/0/hair/0/material"


def test_days_in_the_wrong_order_are_refused() -> None:
    with pytest.raises(InputError):
        hair_demand(a_book(), WEEK[1], WEEK[0])


@pytest.mark.parametrize("seed", range(8))
def test_the_report_equals_pandas_over_the_bookings(seed: int) -> None:
    draw = random.Random(seed)
    materials = (a_material("fill-black", 85.5, 2), a_material("fill-red", 130.25, 9))
    bookings = [
        a_booking(
            f"visit-{number}",
            day=draw.choice(WEEK),
            status=draw.choice(list(BookingStatus)),
            hair=tuple(
                hair(draw.uniform(1, 200), material.id, brought=draw.random() < 0.2)
                for material in materials
            ),
        )
        for number in range(25)
    ]
    shelf = tuple(
        stock(draw.uniform(0, 400), (draw.uniform(1, 300), draw.choice(WEEK)), material=m.id)
        for m in materials
    )
    report = hair_demand(a_book(*bookings, materials=materials, stock=shelf), WEEK[0], WEEK[-1])

    raw = pd.DataFrame(
        {
            "date": booking.promise.start.date(),
            "material": quantity.material,
            "grams": quantity.grams,
            "own": 0.0 if quantity.brought_by_client else quantity.grams,
        }
        for booking in bookings
        if booking.status is BookingStatus.CONFIRMED
        for quantity in booking.hair
    )
    for line_of_stock, material in zip(shelf, materials, strict=True):
        rows = raw[raw["material"] == material.id].groupby("date")[["grams", "own"]].sum()
        lines = [line for line in report.lines if line.material == material.id]
        assert [line.needed for line in lines if line.needed] == pytest.approx(list(rows["grams"]))
        # Unmet demand by the running minimum of the balance, another way to the same figure.
        (order,) = line_of_stock.on_order
        arrivals = pd.Series(
            [order.grams if day >= order.arrives else 0.0 for day in rows.index], rows.index
        )
        balance = line_of_stock.on_hand_grams + arrivals - rows["own"].cumsum()
        unmet = (-balance).clip(lower=0).cummax()
        short = unmet.diff().fillna(unmet)
        assert [line.short for line in lines if line.needed] == pytest.approx(list(short), abs=1e-6)
        total = next(total for total in report.totals if total.material == material.id)
        assert total.packs_to_order == ceil(unmet.iloc[-1] / material.pack_grams - 1e-9)
        assert total.needed == pytest.approx(rows["grams"].sum())
