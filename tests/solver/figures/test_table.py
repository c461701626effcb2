"""Tables that spreadsheets and RFC 4180 readers take as they are."""

from __future__ import annotations

import csv
import io

import pytest

from solver.figures import chair_utilisation, hair_demand, hair_demand_csv, utilisation_csv
from tests.builders import DAY, a_booking, a_chair, a_day_book, a_placed
from tests.solver.figures.hair_builders import a_book, hair


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_each_level_of_the_utilisation_table_sums_to_the_week() -> None:
    booking = a_booking(minutes=95)
    booking = booking.model_copy(update={"placed": a_placed(booking)})
    table = rows(utilisation_csv(chair_utilisation(a_day_book(visits=[booking]), "2026-W49")))
    sums = {
        level: sum(int(row["occupied"]) for row in table if row["level"] == level)
        for level in ("chair-day", "hour", "chair", "week")
    }
    assert set(sums.values()) == {95}


def test_lines_end_in_carriage_return_and_line_feed() -> None:
    text = utilisation_csv(chair_utilisation(a_day_book(), "2026-W49"))
    assert text.endswith("\r\n")
    assert text.count("\n") == text.count("\r\n")


@pytest.mark.parametrize("name", ["=1+1", "+1", "-1", "@SUM(A1)", " =1"])
def test_a_name_that_looks_like_a_formula_is_not_run(name: str) -> None:
    book = a_day_book(chairs=(a_chair(name=name),))
    table = rows(utilisation_csv(chair_utilisation(book, "2026-W49")))
    assert {row["name"] for row in table if row["chair"]} == {f"'{name}"}


def test_quotes_and_commas_in_a_name_come_back_as_they_were() -> None:
    name = 'Window, the "old" one'
    book = a_day_book(chairs=(a_chair(name=name),))
    table = rows(utilisation_csv(chair_utilisation(book, "2026-W49")))
    assert table[0]["name"] == name


def test_hair_demand_has_a_row_for_each_line_unrounded() -> None:
    report = hair_demand(a_book(a_booking(hair=(hair(100 / 3),))), DAY, DAY)
    (row,) = rows(hair_demand_csv(report))
    assert float(row["needed"]) == 100 / 3
    assert row["packs_to_order"] == "1"
    assert row["visits"] == "booking-1"
