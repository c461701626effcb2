"""`partline plan FILE`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from schemas.plan import PlanResult
from tests.api.cli.cli_books import a_request_at_noon, book, changed, two_promises_for_one_lead
from tests.api.cli.cli_run import run, write
from tests.builders import a_booking, a_request, a_window

QUICK = ("--seconds", "5")


def test_a_person_reads_chairs_hands_breaks_and_what_is_proved(tmp_path: Path) -> None:
    ran = run("plan", write(tmp_path, a_request_at_noon()), *QUICK)
    assert ran.code == 0
    for words in ("Tue 1 Dec 2026: 2 visits", "Request-1", "09:00-11:00", "meal", "optimal"):
        assert words in ran.out


def test_a_machine_reads_a_plan_that_the_check_accepts(tmp_path: Path) -> None:
    file = write(tmp_path, a_request_at_noon())
    ran = run("plan", file, *QUICK, "--json")
    assert ran.code == 0
    assert PlanResult.model_validate(ran.json).status == "optimal"
    assert run("check", file, "--plan", write(tmp_path, ran.out, "plan.json")).code == 0


def test_promises_that_cannot_all_hold_are_a_no_with_reasons(tmp_path: Path) -> None:
    ran = run("plan", write(tmp_path, two_promises_for_one_lead()), *QUICK)
    assert ran.code == 1
    assert "infeasible" in ran.out
    assert "Booking-1" in ran.out
    assert "remedy" in ran.out


def test_a_no_is_machine_readable_too(tmp_path: Path) -> None:
    ran = run("plan", write(tmp_path, two_promises_for_one_lead()), *QUICK, "--json")
    assert ran.code == 1
    assert ran.json["status"] == "infeasible"
    assert ran.json["plan"] is None
    assert ran.json["findings"]


def test_a_declined_request_is_named_and_is_no_failure(tmp_path: Path) -> None:
    document = book(
        a_booking("booking-1", "9:00", 240),
        a_request("request-1", 240, windows=(a_window("9:00", "13:00"),)),
    )
    ran = run("plan", write(tmp_path, document), *QUICK)
    assert ran.code == 0
    assert "No place for: Request-1" in ran.out


def test_the_same_seed_gives_the_same_plan(tmp_path: Path) -> None:
    file = write(tmp_path, a_request_at_noon())
    first, second = (run("plan", file, *QUICK, "--seed", "7", "--json").json for _ in range(2))
    assert first["plan"] == second["plan"]


def with_(path: str, value: object) -> dict[str, Any]:
    return changed(a_request_at_noon(), path, value)


@pytest.mark.parametrize(
    ("document", "pointer"),
    [
        ("[1]", "(root)"),
        ({}, "/zone"),
        (with_("/chairs", {}), "/chairs"),
        (with_("/staff", []), "/staff"),
        (with_("/staff/0/roles", ["boss"]), "/staff/0/roles/0"),
        (with_("/staff/0/skills", [{"tag": "wash", "level": 6}]), "/staff/0/skills/0/level"),
        (with_("/bookings/0/promise/tolerance", 1.5), "/bookings/0/promise/tolerance"),
        (with_("/bookings/0/promise/start", 1764579600), "/bookings/0/promise/start"),
        (with_("/bookings/0/required_lead", "nobody"), "/bookings/0/required_lead"),
        (with_("/requests/0/phases", []), "/requests/0"),
        (with_("/requests/0/windows", []), "/requests/0/windows"),
        (with_("/requests/0/id", "booking-1"), "/requests/0/id"),  # used twice
        (with_("/rules/0/parameters", {"minutes": -5}), "/rules/0/parameters/minutes"),
        (with_("/requests/0/client", "a\nb"), "/requests/0/client"),
    ],
)
def test_bad_input_is_refused_with_its_pointer(
    tmp_path: Path, document: object, pointer: str
) -> None:
    ran = run("plan", write(tmp_path, document))
    assert (ran.code, ran.out) == (2, "")
    assert f"  {pointer}: " in ran.err


def test_a_style_in_a_day_book_is_pointed_at_through_the_booking(tmp_path: Path) -> None:
    style = {"name": "x", "technique": "macrame", "size": "large", "length_cm": 60}
    document = a_request_at_noon()
    del document["requests"][0]["phases"]
    document["requests"][0]["take_off"] = {"style": style}
    ran = run("plan", write(tmp_path, document))
    assert ran.code == 2
    assert "  /requests/0/take_off/style/technique: " in ran.err


@pytest.mark.parametrize("option", [("--seconds", "0"), ("--seconds", "soon"), ("--seed", "-1")])
def test_an_option_out_of_range_is_bad_input(tmp_path: Path, option: tuple[str, str]) -> None:
    ran = run("plan", write(tmp_path, a_request_at_noon()), *option)
    assert (ran.code, ran.out) == (2, "")
