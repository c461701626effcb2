"""`partline check FILE` and `partline check DAYBOOK --plan PLANFILE`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.api.cli.cli_books import changed, morning_and_plan
from tests.api.cli.cli_run import run, write


def request() -> dict[str, Any]:
    book, plan = morning_and_plan()
    return {"day_book": book, "plan": plan}


def test_a_plan_that_keeps_every_rule_has_no_findings(tmp_path: Path) -> None:
    ran = run("check", write(tmp_path, request()))
    assert (ran.code, ran.err) == (0, "")
    assert "No findings" in ran.out


def test_a_broken_rule_is_told_with_who_and_the_remedy_and_exit_code_1(tmp_path: Path) -> None:
    document = request()
    del document["plan"]["breaks"][0]
    ran = run("check", write(tmp_path, document))
    assert ran.code == 1
    assert "1 hard rule broken" in ran.out
    for words in ("meal-break", "Lead-1", "remedy"):
        assert words in ran.out


def test_a_machine_reads_the_findings_as_a_list(tmp_path: Path) -> None:
    document = request()
    document["plan"]["visits"][0]["chair"] = "chair-9"
    ran = run("check", write(tmp_path, document), "--json")
    assert ran.code == 1
    assert [finding["rule"] for finding in ran.json] == ["fitting-chair"]


def test_day_book_and_plan_may_lie_in_two_files(tmp_path: Path) -> None:
    book, plan = morning_and_plan()
    ran = run("check", write(tmp_path, book), "--plan", write(tmp_path, plan, "plan.json"))
    assert ran.code == 0


def test_a_bent_soft_rule_is_no_no(tmp_path: Path) -> None:
    document = request()
    document["day_book"]["rules"] = [{"code": "meal-break", "hard": False, "weight": 7}]
    document["plan"]["breaks"] = []
    ran = run("check", write(tmp_path, document))
    assert ran.code == 0
    assert "no hard rule broken, 2 soft rules bent" in ran.out
    assert "cost 7" in ran.out


def test_one_standard_input_cannot_be_two_files() -> None:
    ran = run("check", "-", "--plan", "-", stdin=b"{}")
    assert ran.code == 2
    assert "cannot be both" in ran.err


def test_an_answer_without_a_plan_cannot_be_checked(tmp_path: Path) -> None:
    book, _ = morning_and_plan()
    answer = write(tmp_path, {"status": "infeasible", "plan": None}, "answer.json")
    ran = run("check", write(tmp_path, book), "--plan", answer)
    assert ran.code == 2
    assert "holds no plan" in ran.err


def with_(path: str, value: object) -> dict[str, Any]:
    return changed(request(), path, value)


@pytest.mark.parametrize(
    ("document", "pointer"),
    [
        ({}, "/day_book"),
        ({**request(), "plan": None}, "/plan"),
        ({**request(), "note": "x"}, "/note"),
        (with_("/day_book/zone", "Mars/Olympus"), "/day_book/zone"),
        (with_("/day_book/staff/0/pace", 9), "/day_book/staff/0/pace"),
        (with_("/day_book/grid", {"minutes": 7}), "/day_book/grid"),
        (with_("/day_book/open/0/end", "2026-12-01T08:00:00Z"), "/day_book/open/0"),
        (with_("/day_book/shifts/0/staff", "nobody"), "/day_book/shifts/0/staff"),
        (with_("/day_book/rules", [{"code": "be-nice"}]), "/day_book/rules/0/code"),
        (with_("/plan/visits/0/window/start", "nine"), "/plan/visits/0/window/start"),
        (with_("/plan/visits/0/window/start", "2026-12-01T09:00"), "/plan/visits/0/window/start"),
        (with_("/plan/breaks/0/kind", "nap"), "/plan/breaks/0/kind"),
        (with_("/plan/declined", "booking-1"), "/plan/declined"),
    ],
)
def test_bad_input_is_refused_with_its_pointer(
    tmp_path: Path, document: dict[str, Any], pointer: str
) -> None:
    ran = run("check", write(tmp_path, document))
    assert (ran.code, ran.out) == (2, "")
    assert f"  {pointer}: " in ran.err


def test_a_fault_in_the_second_file_is_pointed_at_in_that_file(tmp_path: Path) -> None:
    book, plan = morning_and_plan()
    plan["visits"][0]["phases"] = []
    file = write(tmp_path, plan, "plan.json")
    ran = run("check", write(tmp_path, book), "--plan", file)
    assert ran.code == 2
    assert "plan.json is not a Plan" in ran.err
    assert "  /visits/0/phases: " in ran.err


def test_a_day_book_alone_is_answered_with_the_option_it_lacks(tmp_path: Path) -> None:
    book, _ = morning_and_plan()
    ran = run("check", write(tmp_path, book))
    assert (ran.code, ran.out) == (2, "")
    assert "--plan PLANFILE" in ran.err
