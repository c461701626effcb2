"""`partline why-not FILE --request ID`."""

from __future__ import annotations

from pathlib import Path

from schemas.explanations import Explanation
from tests.api.cli.cli_books import book
from tests.api.cli.cli_run import run, write
from tests.builders import a_booking, a_request

QUICK = ("--seconds", "5")


def full(tmp_path: Path) -> Path:
    """Four hours are promised in the morning; five hours and a half are asked for."""
    return write(
        tmp_path,
        book(a_booking("ana", "9:00", 240, client="Ana"), a_request("nia", 330, client="Nia")),
    )


def test_a_person_reads_the_rules_in_the_way_and_what_would_make_room(tmp_path: Path) -> None:
    ran = run("why-not", full(tmp_path), "--request", "nia", *QUICK)
    assert ran.code == 1
    for words in ("Nia does not fit", "promise-kept", "Ana is promised 09:00", "cost"):
        assert words in ran.out


def test_a_machine_reads_an_explanation(tmp_path: Path) -> None:
    ran = run("why-not", full(tmp_path), "--request", "nia", *QUICK, "--json")
    assert ran.code == 1
    answer = Explanation.model_validate(ran.json)
    assert answer.fit == "does-not-fit"
    assert "ana" in {visit for reason in answer.days[0].reasons for visit in reason.visits}


def test_a_request_that_fits_is_a_yes_with_its_place(tmp_path: Path) -> None:
    ran = run("why-not", write(tmp_path, book(a_request("nia", client="Nia"))), "--request", "nia")
    assert ran.code == 0
    assert "Nia fits: 2026-12-01 at 09:00" in ran.out


def test_a_request_nobody_knows_is_bad_input(tmp_path: Path) -> None:
    ran = run("why-not", full(tmp_path), "--request", "nobody", *QUICK)
    assert ran.code == 2
    assert "/requests: there is no request nobody" in ran.err
