"""Day books that cannot be right, as JSON: each is refused with the JSON Pointer of the field."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.api.cli.cli_books import book, changed
from tests.api.cli.cli_run import run, write
from tests.builders import a_booking, a_closure, a_meal, a_request, a_setting


def a_good_one() -> dict[str, Any]:
    """A promise in the morning, a request, a closure, a meal and two rules."""
    document = book(
        a_booking("ana", "9:00", 120, tolerance=15),
        a_request("nia", 120),
        closures=(a_closure("18:00", "19:00"),),
        breaks=(a_meal("13:00", "13:30"),),
    )
    late = a_setting("latest-start", label="long", longer=300, after="13:00")
    document["rules"].append(late.model_dump(mode="json"))
    return document


def with_(*changes: tuple[str, object]) -> dict[str, Any]:
    document = a_good_one()
    for path, value in changes:
        changed(document, path, value)
    return document


def in_new_york(start: str, end: str) -> dict[str, Any]:
    """The good book in New York, its only opening and shift as written."""
    document = a_good_one() | {"zone": "America/New_York", "bookings": [], "requests": []}
    window = {"start": start, "end": end}
    document["open"] = [window]
    document["shifts"] = [{"id": "s", "staff": "lead-1", "window": window}]
    for name in ("closures", "breaks"):
        document.pop(name)
    return document


WRONG: dict[str, tuple[dict[str, Any], str, str]] = {
    "an unknown skill": (
        with_(("/bookings/0/phases/0/skill", "lacing")),
        *("/bookings/0/phases/0/skill", "nobody of this day book masters lacing"),
    ),
    "a shift that ends before it starts": (
        with_(("/shifts/0/window/end", "2026-12-01T08:00:00Z")),
        *("/shifts/0/window", "must end after it starts"),
    ),
    "another salon's zone": (
        with_(("/shifts/0/window/start", "2026-12-01T10:00:00+01:00")),
        *("/shifts/0/window/start", "write 2026-12-01T09:00:00+00:00"),
    ),
    "a zone nobody knows": (
        with_(("/zone", "Europe/Atlantis")),
        *("/zone", "must be an IANA time zone"),
    ),
    "a booking outside every shift": (
        with_(("/bookings/0/promise/start", "2026-12-01T18:30:00Z")),
        *("/bookings/0/promise/start", "outside every shift"),
    ),
    "a booking when the salon is closed": (
        with_(("/bookings/0/promise/start", "2026-12-02T09:00:00Z")),
        *("/bookings/0/promise/start", "outside every opening window"),
    ),
    "an id used twice": (
        with_(("/requests/0/id", "ana")),
        *("/requests/0/id", "the id ana is used twice"),
    ),
    "a rule with a negative number": (
        with_(("/rules/1/parameters/minutes", -10)),
        *("/rules/1/parameters/minutes", "greater than or equal to 0"),
    ),
    "a rule nobody knows": (
        with_(("/rules/0/code", "no-mondays")),
        *("/rules/0/code", "there is no rule no-mondays"),
    ),
    "a time of day that is none": (
        with_(("/rules/2/parameters/after", "25:00")),
        *("/rules/2/parameters/after", "must"),
    ),
    "a time that the clock skips": (
        in_new_york("2026-03-08T02:30:00-05:00", "2026-03-08T11:00:00-04:00"),
        *("/open/0/start", "2026-03-08 02:30 does not exist in America/New_York"),
    ),
    "winter time in summer": (
        in_new_york("2026-07-01T09:00:00-05:00", "2026-07-01T18:00:00-04:00"),
        *("/open/0/start", "is not written in the offset of America/New_York"),
    ),
    "a day that the calendar skips": (
        in_new_york("2011-12-30T09:00:00-10:00", "2011-12-30T18:00:00-10:00")
        | {"zone": "Pacific/Apia"},
        *("/open/0/start", "the day 2011-12-30 does not exist in Pacific/Apia"),
    ),
    "an instant without its offset": (
        with_(("/open/0/start", "2026-12-01T09:00:00")),
        *("/open/0/start", "must state its offset"),
    ),
    "a promise off the grid": (
        with_(("/bookings/0/promise/start", "2026-12-01T09:01:00Z")),
        *("/bookings/0/promise/start", "off the 5-minute grid"),
    ),
    "a shift of a stranger": (
        with_(("/shifts/0/staff", "ghost")),
        *("/shifts/0/staff", "there is no member of staff ghost"),
    ),
    "a closure of no chair": (
        with_(("/closures/0/chair", "throne")),
        *("/closures/0/chair", "there is no chair throne"),
    ),
    "a break of a stranger": (
        with_(("/breaks/0/staff", "ghost")),
        *("/breaks/0/staff", "there is no member of staff ghost"),
    ),
    "a lead who is none": (
        with_(("/requests/0/required_lead", "assistant-1")),
        *("/requests/0/required_lead", "assistant-1 is not a lead"),
    ),
    "work of no length": (
        with_(("/requests/0/phases/0/minutes", 0)),
        *("/requests/0/phases/0/minutes", "must be greater than or equal to 1"),
    ),
}
"""What is wrong: the book, the pointer, and words of the sentence."""
CASES = [pytest.param(*case, id=name) for name, case in WRONG.items()]


def test_the_book_is_good_before_anything_is_changed(tmp_path: Path) -> None:
    assert run("plan", write(tmp_path, a_good_one()), "--seconds", "5").code == 0


@pytest.mark.parametrize(("document", "pointer", "words"), CASES)
def test_a_wrong_day_book_is_refused_at_the_field(
    tmp_path: Path, document: dict[str, Any], pointer: str, words: str
) -> None:
    ran = run("plan", write(tmp_path, document))
    assert (ran.code, ran.out) == (2, "")
    told = [line for line in ran.err.splitlines() if line.startswith(f"  {pointer}: ")]
    assert len(told) == 1, ran.err
    assert words in told[0]


@pytest.mark.parametrize(("document", "pointer", "words"), CASES)
def test_a_repair_of_a_wrong_day_book_is_refused_at_the_same_field(
    tmp_path: Path, document: dict[str, Any], pointer: str, words: str
) -> None:
    events = [{"kind": "no-show", "visit": "ana"}]
    order = {"day_book": document, "plan": {}, "events": events, "now": "2026-12-01T08:00:00Z"}
    ran = run("repair", write(tmp_path, order))
    assert (ran.code, ran.out) == (2, "")
    assert f"  /day_book{pointer}: " in ran.err
    assert words in ran.err
