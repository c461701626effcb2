"""`partline repair FILE`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from schemas.repair import LateArrival, RepairResult, SickPerson
from tests.api.cli.cli_books import plain
from tests.api.cli.cli_run import run, write
from tests.builders import a_booking, a_day_book, a_lead, a_placed, a_plan, at

QUICK = ("--seconds", "4")


def a_day(*events: Any, now: str = "12:50", leads: tuple[str, ...] = ("lea",)) -> dict[str, Any]:
    """Ana at nine and Bea at one, both with Lea."""
    ana = a_booking("ana", "9:00", 240, client="Ana")
    bea = a_booking("bea", "13:00", 240, client="Bea")
    staff = tuple(a_lead(name, name=name.title()) for name in leads)
    book = a_day_book(visits=(ana, bea), staff=staff)
    plan = a_plan(a_placed(ana, "9:00", lead="lea"), a_placed(bea, "13:00", lead="lea"))
    return {
        "day_book": plain(book),
        "plan": plain(plan),
        "events": [event.model_dump(mode="json") for event in events],
        "now": at(now).isoformat(),
    }


def test_a_person_reads_what_changed_and_whom_to_tell(tmp_path: Path) -> None:
    late = LateArrival(visit="bea", arrives=at("13:40"))
    ran = run("repair", write(tmp_path, a_day(late)), *QUICK)
    assert ran.code == 0
    for words in ("repaired", "Bea, Lea", "Bea starts at 13:40 instead of 13:00.", "people-told"):
        assert words in ran.out


def test_a_promise_to_be_renegotiated_is_a_no(tmp_path: Path) -> None:
    sick = SickPerson(staff="lea", start=at("12:00"))
    ran = run("repair", write(tmp_path, a_day(sick, now="12:00")), *QUICK)
    assert ran.code == 1
    assert "To be renegotiated" in ran.out
    assert "Bea: we are sorry" in ran.out


def test_a_machine_reads_a_result_whose_plan_the_check_accepts(tmp_path: Path) -> None:
    late = LateArrival(visit="bea", arrives=at("13:40"))
    ran = run("repair", write(tmp_path, a_day(late)), *QUICK, "--json")
    assert ran.code == 0
    RepairResult.model_validate(ran.json)
    judged = {"day_book": ran.json["day_book"], "plan": ran.json["plan"]}
    assert run("check", write(tmp_path, judged, "judged.json")).code == 0


def test_an_event_of_nobody_is_bad_input_with_its_pointer(tmp_path: Path) -> None:
    late = LateArrival(visit="nobody", arrives=at("13:40"))
    ran = run("repair", write(tmp_path, a_day(late)), *QUICK)
    assert ran.code == 2
    assert "/events/0/visit: nobody has no place in the plan" in ran.err


def test_a_day_book_that_contradicts_itself_is_told_by_its_own_pointer(tmp_path: Path) -> None:
    document = a_day(LateArrival(visit="bea", arrives=at("13:40")))
    document["day_book"]["shifts"][0]["staff"] = "nobody"
    ran = run("repair", write(tmp_path, document), *QUICK)
    assert ran.code == 2
    assert "/day_book/shifts/0/staff" in ran.err
