"""The slots of a book: their length, the grid, the arrivals, on days of every kind."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from schemas.daybook import DayBook, Grid
from solver.bits import slots
from solver.openings.raster import Raster
from tests.builders import DAY, a_day_book, a_shift, a_window


def a_book(
    grid: int, arrivals: int, day: date = DAY, start: str = "0:00", end: str = "24:00"
) -> DayBook:
    return a_day_book(
        grid=Grid(minutes=grid, arrivals=arrivals),
        open=(a_window(start, end, day),),
        shifts=(a_shift(start=start, end=end, day=day),),
    )


@pytest.mark.parametrize(
    ("grid", "day", "unit"),
    [
        (5, DAY, 5),
        (5, date(2026, 10, 25), 5),  # an hour more is twelve steps more
        (18, DAY, 18),  # eighty steps make a day
        (18, date(2026, 10, 25), 1),  # an hour is no whole number of steps
        (7, DAY, 1),  # nor is a day
    ],
)
def test_a_slot_is_the_grid_where_the_clock_allows(grid: int, day: date, unit: int) -> None:
    assert Raster.of(a_book(grid, grid, day)).unit == unit


@pytest.mark.parametrize("day", [DAY, date(2026, 3, 29), date(2026, 10, 25)])
@pytest.mark.parametrize(("grid", "arrivals"), [(5, 15), (7, 21), (18, 18), (25, 50)])
def test_grid_and_arrivals_follow_the_wall_clock(day: date, grid: int, arrivals: int) -> None:
    raster = Raster.of(a_book(grid, arrivals, day))
    zone = ZoneInfo("Europe/Lisbon")

    def on(slot: int, every: int) -> bool:
        local = raster.instant(slot).astimezone(zone)
        return (local.hour * 60 + local.minute) % every == 0

    assert set(slots(raster.arrivals)) == {s for s in range(raster.slots) if on(s, arrivals)}
    for slot in range(raster.slots + 1):  # a visit may end where the book does
        assert (raster.on_grid >> slot & 1) == on(slot, grid)


def test_what_is_taken_is_rounded_outwards_and_what_is_open_inwards() -> None:
    raster = Raster.of(a_book(5, 15))
    window = a_window("9:02", "9:13")
    nine = 9 * 12
    assert raster.outward(window) == (nine, nine + 3)
    assert raster.inward(window) == (nine + 1, nine + 2)
