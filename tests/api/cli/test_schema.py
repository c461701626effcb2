"""`partline schema`, `partline rules` and `partline example`."""

from __future__ import annotations

import pytest

from api.cli.names import ALIASES, DOCUMENTS
from schemas.daybook import DayBook
from schemas.takeoff import TakeOffRequest
from solver.rules import RULES
from tests.api.cli.cli_run import run


@pytest.mark.parametrize("name", [*DOCUMENTS, *ALIASES])
def test_every_name_gives_the_json_schema_of_its_document(name: str) -> None:
    ran = run("schema", name)
    model = DOCUMENTS[ALIASES.get(name, name)][0]
    assert ran.code == 0
    assert ran.json.pop("$schema") == "https://json-schema.org/draft/2020-12/schema"
    assert {key: value for key, value in ran.json.items() if key != "$schema"} == (
        model.model_json_schema()
    )


def test_without_a_name_the_documents_are_listed() -> None:
    ran = run("schema")
    assert ran.code == 0
    assert all(name in ran.out for name in DOCUMENTS)


def test_an_unknown_name_is_answered_with_the_known_ones() -> None:
    ran = run("schema", "day-bok")
    assert ran.code == 2
    assert ran.out == ""
    assert "did you mean day-book?" in ran.err
    assert all(name in ran.err for name in DOCUMENTS)


def test_the_rules_are_listed_with_their_parameters() -> None:
    ran = run("rules")
    assert ran.code == 0
    assert all(rule.code in ran.out for rule in RULES)
    assert "minutes=30" in ran.out


def test_the_rules_come_as_json() -> None:
    ran = run("rules", "--json")
    assert [rule["code"] for rule in ran.json] == [rule.code for rule in RULES]


def test_the_example_of_a_take_off_request_is_one() -> None:
    request = TakeOffRequest.model_validate(run("example", "take-off-request").json)
    assert request.style.parting is not None


def test_the_example_of_a_day_book_starts_where_it_is_told() -> None:
    book = DayBook.model_validate(run("example", "day-book", "--from", "2026-11-30").json)
    assert book.open[0].start.date().isoformat() == "2026-12-02"  # the Wednesday of that week


def test_a_start_within_a_week_is_moved_to_its_coming_monday() -> None:
    book = DayBook.model_validate(run("example", "day-book", "--from", "2026-12-01").json)
    assert book.open[0].start.date().isoformat() == "2026-12-09"


@pytest.mark.parametrize("said", ["tomorrow", "2026-13-01", "1815-06-18", "20261", ""])
def test_a_start_that_is_no_date_is_refused(said: str) -> None:
    ran = run("example", "day-book", "--from", said)
    assert (ran.code, ran.out) == (2, "")
    assert "--from" in ran.err


def test_an_unknown_example_is_answered_with_the_known_ones() -> None:
    ran = run("example", "novel")
    assert ran.code == 2
    assert "take-off-request, day-book" in ran.err
