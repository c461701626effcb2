"""`partline openings FILE`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from schemas.booking import BookingStatus
from schemas.openings import OpeningsAnswer
from schemas.rearranging import RearrangingAnswer, Room
from tests.api.cli.cli_books import a_request_at_noon, book, changed, two_promises_for_one_lead
from tests.api.cli.cli_run import run, write
from tests.builders import a_booking, a_chair, a_lead, a_placed, a_request, a_shift, a_window

QUICK = ("--seconds", "5")


def test_a_person_reads_when_where_with_whom_and_why(tmp_path: Path) -> None:
    ran = run("openings", write(tmp_path, a_request_at_noon()), *QUICK)
    assert ran.code == 0
    assert "1. Tue 1 Dec" in ran.out
    for words in ("Request-1", "Chair 1", "Lead-1", "breaks:", "   - "):
        assert words in ran.out


def test_bookings_without_a_place_are_planned_first_and_that_is_said(tmp_path: Path) -> None:
    ran = run("openings", write(tmp_path, a_request_at_noon()), *QUICK, "--json")
    assert "1 booking has no place yet" in ran.err
    (answer,) = ran.json
    found = OpeningsAnswer.model_validate(answer)
    busy = a_window("9:00", "11:00")
    assert all(not opening.visit.window.overlaps(busy) for opening in found.openings)


def test_placed_bookings_are_taken_as_they_are(tmp_path: Path) -> None:
    visit = a_booking("booking-1", "9:00", 120)
    placed = visit.model_copy(update={"placed": a_placed(visit, "9:00")})
    ran = run("openings", write(tmp_path, book(placed, a_request("request-1", 120))), "--json")
    assert (ran.code, ran.err) == (0, "")
    assert ran.json[0]["found"] > 0


def test_a_request_that_fits_nowhere_is_a_no_with_the_rules_in_the_way(tmp_path: Path) -> None:
    document = book(
        a_booking("booking-1", "9:00", 240),
        a_request("request-1", 240, windows=(a_window("9:00", "13:00"),)),
    )
    ran = run("openings", write(tmp_path, document), *QUICK)
    assert ran.code == 1
    assert "nothing fits" in ran.out
    assert "in the way" in ran.out


def test_one_request_may_be_chosen_and_the_openings_limited(tmp_path: Path) -> None:
    document = book(a_request("request-1", 60), a_request("request-2", 60))
    ran = run(
        "openings", write(tmp_path, document), "--request", "request-2", "--limit", "1", "--json"
    )
    (answer,) = ran.json
    assert answer["request"] == "request-2"
    assert len(answer["openings"]) == 1


def test_promises_that_cannot_all_hold_leave_nothing_to_offer(tmp_path: Path) -> None:
    document = two_promises_for_one_lead()
    document["requests"] = a_request_at_noon()["requests"]
    file = write(tmp_path, document)
    ran = run("openings", file, *QUICK, "--json")
    assert (ran.code, ran.json) == (1, [])
    assert "Booking-1" in ran.err


def test_a_cancelled_booking_takes_no_room(tmp_path: Path) -> None:
    document = book(
        a_booking("booking-1", "9:00", 240, status=BookingStatus.CANCELLED),
        a_request("request-1", 240, windows=(a_window("9:00", "14:00"),)),
    )
    ran = run("openings", write(tmp_path, document), *QUICK)
    assert (ran.code, ran.err) == (0, "")


def test_a_book_that_asks_for_nothing_is_told_so(tmp_path: Path) -> None:
    ran = run("openings", write(tmp_path, book(a_booking())))
    assert (ran.code, ran.out) == (2, "")
    assert "  /requests: is empty" in ran.err


def test_an_unknown_request_is_answered_with_the_known_ones(tmp_path: Path) -> None:
    ran = run("openings", write(tmp_path, a_request_at_noon()), "--request", "request-9")
    assert ran.code == 2
    assert "there are: request-1" in ran.err


def with_(path: str, value: object) -> dict[str, Any]:
    return changed(a_request_at_noon(), path, value)


@pytest.mark.parametrize(
    ("document", "pointer"),
    [
        ([1, 2], "(root)"),
        ({"zone": "Europe/Lisbon"}, "/open"),
        (with_("/shifts", None), "/shifts"),
        (with_("/shifts/0/window", "all day"), "/shifts/0/window"),
        (with_("/requests/0/max_assistants", 40), "/requests/0/max_assistants"),
        (with_("/requests/0/max_assistants", True), "/requests/0/max_assistants"),
        (with_("/requests/0/wish", "soon"), "/requests/0/wish"),
        (with_("/requests/0/windows/0", {"start": "x"}), "/requests/0/windows/0/start"),
        (with_("/requests/0/phases/0/minutes", 0), "/requests/0/phases/0/minutes"),
        (with_("/requests/0/phases/0/place", "garden"), "/requests/0/phases/0/place"),
        (with_("/requests/0/phases/0/shared", True), "/requests/0/phases/0"),
        (with_("/basins", [{"id": "b"}]), "/basins/0/name"),
    ],
)
def test_bad_input_is_refused_with_its_pointer(
    tmp_path: Path, document: object, pointer: str
) -> None:
    ran = run("openings", write(tmp_path, document))
    assert (ran.code, ran.out) == (2, "")
    assert f"  {pointer}: " in ran.err


@pytest.mark.parametrize("option", [("--limit", "0"), ("--limit", "51"), ("--wish", "cheapest")])
def test_an_option_out_of_range_is_bad_input(tmp_path: Path, option: tuple[str, str]) -> None:
    ran = run("openings", write(tmp_path, a_request_at_noon()), *option)
    assert (ran.code, ran.out) == (2, "")


REARRANGING = ("--depth", "with-rearranging", "--day-seconds", "5")


def ada_in_the_way(**changes: Any) -> dict[str, Any]:
    """Ada at nine with lead-1, with whom she need not be; the other wants lead-1 for long."""
    ada = a_booking("ada", "9:00", 120, **changes)
    placed = ada.model_copy(update={"placed": a_placed(ada, "9:00")})
    day = a_window("9:00", "13:00")
    return book(
        placed,
        a_request("request-1", 180, windows=(day,), required_lead="lead-1"),
        staff=(a_lead("lead-1"), a_lead("lead-2")),
        shifts=tuple(a_shift(lead, "9:00", "13:00") for lead in ("lead-1", "lead-2")),
        chairs=(a_chair("chair-1"), a_chair("chair-2")),
        open=(day,),
    )


def test_with_rearranging_it_says_what_would_move_and_whom_to_tell(tmp_path: Path) -> None:
    file = write(tmp_path, ada_in_the_way())
    assert run("openings", file).code == 1
    ran = run("openings", file, *REARRANGING)
    assert ran.code == 0
    for words in ("room on 1 of 1 day looked at", "Tue 1 Dec", "Lead-2 instead of Lead-1", "tell"):
        assert words in ran.out
    (answer,) = run("openings", file, *REARRANGING, "--json").json
    (day,) = RearrangingAnswer.model_validate(answer).days
    assert day.room is Room.WITH_REARRANGING


def test_with_rearranging_a_no_is_proved_and_said(tmp_path: Path) -> None:
    document = ada_in_the_way(lead="lead-1")
    ran = run("openings", write(tmp_path, document), *REARRANGING)
    assert ran.code == 1
    assert "no room, whatever moves within the promises" in ran.out
