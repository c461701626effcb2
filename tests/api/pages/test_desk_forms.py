"""Every form of the desk: what is wrong is said beside its field, and nothing is done."""

from __future__ import annotations

import html
import json
import re
from typing import Any

import pytest
from httpx import Response

from tests.api.studio_kit import Client, an_install, book, ok, openings_for

pytestmark = pytest.mark.anyio
PART = {"HX-Request": "true"}
DAYS = {"first": "2026-12-01", "last": "2026-12-01"}
STYLE = {"technique": "knotless", "size": "large", "length_cm": "60"}
HAPPENED = {"on": "2026-12-01"}


def beside(page: Response, name: str) -> str | None:
    """What is said beside a field."""
    found = re.search(rf'id="{name}-fault">([^<]+)<', page.text)
    if found is not None:
        assert re.search(rf'name="{name}"[^>]* aria-invalid="true"', page.text)
    return None if found is None else found[1]


@pytest.mark.parametrize(
    ("path", "typed", "name", "sentence"),
    [
        ("/desk/openings", DAYS | STYLE | {"length_cm": "long"}, "length_cm", "Write a number."),
        ("/desk/openings", DAYS | STYLE | {"length_cm": "500"}, "length_cm", "At most 200.0."),
        ("/desk/openings", DAYS | STYLE | {"braids": "2.5"}, "braids", "Write a whole number."),
        (
            "/desk/openings",
            DAYS | STYLE | {"front_rows": "two"},
            "front_rows",
            "This cannot be right.",
        ),
        ("/desk/openings", DAYS | STYLE | {"front_rows": "0 2"}, "front_rows", None),
        ("/desk/openings", DAYS | {"size": "large"}, "technique", None),
        ("/desk/openings", DAYS | STYLE | {"size": "enormous"}, "size", None),
        ("/desk/openings", DAYS | STYLE | {"menu": "nothing"}, "menu", "This is not on the menu."),
        ("/desk/openings", STYLE | {"last": "2026-12-01"}, "first", "This is needed."),
        ("/desk/openings", STYLE | DAYS | {"first": "tomorrow"}, "first", "Write a date."),
        ("/desk/openings", STYLE | DAYS | {"first": "2026-12-02"}, "last", None),
        ("/desk/openings", STYLE | DAYS | {"last": "2027-12-01"}, "last", None),
        ("/desk/openings", STYLE | {"first": "2025-01-01", "last": "2025-01-03"}, "first", None),
        ("/desk/openings", STYLE | DAYS | {"since": "12:00", "until": "11:00"}, "until", None),
        ("/desk/openings", STYLE | DAYS | {"weekdays": "7"}, "first", None),
        ("/desk/openings", STYLE | DAYS | {"lead": "nobody"}, "lead", None),
        ("/desk/repairs", HAPPENED | {"what": "late"}, "visit", "This is needed."),
        (
            "/desk/repairs",
            HAPPENED | {"what": "late", "visit": "v-1"},
            "arrives",
            "This is needed.",
        ),
        ("/desk/repairs", HAPPENED | {"what": "no-show", "visit": "nobody"}, "visit", None),
        ("/desk/repairs", HAPPENED | {"what": "sick", "staff": "nobody"}, "staff", None),
        ("/desk/repairs", HAPPENED | {"what": "chair", "chair": "nothing"}, "chair", None),
        ("/desk/repairs", {"on": "2027-06-01", "what": "sick", "staff": "lead-1"}, "on", None),
        ("/desk/repairs", {"on": "x", "what": "sick", "staff": "lead-1"}, "on", "Write a date."),
        ("/visits/v-1/elsewhere", {"on": "2026-12-01"}, "at", "This is needed."),
        ("/visits/v-1/elsewhere", {"on": "2026-12-01", "at": "noon"}, "at", None),
        ("/visits/v-1/elsewhere", {"on": "2026-11-01", "at": "12:00"}, "at", None),
        ("/visits/v-1/places", {"first": "2026-12-01"}, "last", "This is needed."),
        ("/visits/v-1/places", {"first": "2026-12-06", "last": "2026-12-06"}, "first", None),
    ],
)
async def test_what_is_wrong_is_said_beside_its_field(
    studio: Client, path: str, typed: dict[str, str], name: str, sentence: str | None
) -> None:
    await book(studio, "v-1")
    page = await studio.post(path, data=typed, headers=PART)
    assert page.status_code == 422, page.text[:500]
    said = beside(page, name)
    assert said is not None, page.text
    assert sentence is None or said == sentence
    assert len(ok(await studio.get("/v1/bookings"))["items"]) == 1


@pytest.mark.parametrize(
    "typed", [{}, {"asked": "x"}, {"asked": "{}"}, {"asked": None, "opening": "{}"}]
)
@pytest.mark.parametrize("path", ["/desk/look", "/desk/holds", "/desk/bookings"])
async def test_an_opening_that_is_no_opening_is_refused(
    studio: Client, path: str, typed: dict[str, Any]
) -> None:
    page = await studio.post(path, data=typed, headers=PART)
    assert page.status_code == 422
    assert ok(await studio.get("/v1/bookings"))["items"] == []


async def test_an_opening_that_is_taken_meanwhile_is_not_sold_and_others_are_shown(
    studio: Client,
) -> None:
    request = an_install("second")
    opening = (await openings_for(studio, request))[0]
    await book(studio, "first")
    await book(studio, "third")
    typed = {"asked": json.dumps(request), "opening": json.dumps(opening), "client": "Vera"}
    page = await studio.post("/desk/bookings", data=typed, headers=PART)
    assert page.status_code == 409
    assert "The opening cannot be had" in page.text
    assert {each["id"] for each in ok(await studio.get("/v1/bookings"))["items"]} == {
        "first",
        "third",
    }


async def test_without_scripts_a_form_is_answered_by_the_whole_desk(studio: Client) -> None:
    page = await studio.post("/desk/openings", data=STYLE | DAYS)
    assert page.status_code == 200
    assert "<html" in page.text
    # Nobody in this studio can do it: the rules in the way are told.
    assert "No opening." in page.text
    assert "These rules are in the way" in page.text


def sent_back(page: Response, action: str, *names: str) -> dict[str, str]:
    """Hidden fields of the form, from where its address stands."""
    form = page.text[page.text.index(action) :] if action else page.text
    found = {name: re.search(rf'name="{name}" value="([^"]*)"', form) for name in names}
    return {name: html.unescape(each[1]) for name, each in found.items() if each is not None}


async def test_who_waits_is_found_a_place_that_is_held_and_then_booked(studio: Client) -> None:
    ok(await studio.post("/v1/bookings", json={"request": an_install("wanda")}))
    panel = await studio.get("/visits/wanda", headers=PART)
    assert "Find her a place" in panel.text
    page = await studio.post("/visits/wanda/places", data=DAYS, headers=PART)
    assert "Hold it for her" in page.text
    typed = sent_back(page, 'id="places"', "asked", "version", "opening")
    held = await studio.post("/visits/wanda/offer", data=typed, headers=PART)
    assert "Held until" in held.text
    assert "Held until" in (await studio.get("/visits/wanda", headers=PART)).text
    booked = await studio.post("/desk/holds/wanda/booking", data={"client": "Wanda"}, headers=PART)
    assert "Booked." in booked.text
    record = ok(await studio.get("/v1/bookings/wanda"))
    assert (record["status"], record["request"]["client"]) == ("CONFIRMED", "Wanda")


async def test_a_booking_moves_to_a_time_the_rules_allow_and_to_no_other(studio: Client) -> None:
    await book(studio, "one")
    await book(studio, "other", required_lead="lead-1")
    there = ok(await studio.get("/v1/bookings/other"))
    taken = ok(await studio.get("/v1/bookings/one"))["placed"]
    typed = {"on": "2026-12-01", "at": "09:00", "chair": taken["chair"], "her": taken["lead"]}
    page = await studio.post("/visits/other/elsewhere", data=typed, headers=PART)
    assert "The rules forbid it" in page.text
    assert "Move her there" not in page.text
    page = await studio.post(
        "/visits/other/elsewhere", data={"on": "2026-12-01", "at": "14:00"}, headers=PART
    )
    assert "Every rule is kept" in page.text, page.text[:3000]
    assert ok(await studio.get("/v1/bookings/other")) == there
    typed = ("asked", "version", "opening", "chosen")
    sent = sent_back(page, 'action="/visits/other/move"', *typed)
    moved = await studio.post("/visits/other/move", data=sent, headers=PART)
    assert "Moved." in moved.text, moved.text[:2000]
    placed = ok(await studio.get("/v1/bookings/other"))["placed"]
    assert placed["window"]["start"][11:16] == "14:00"
    stale = await studio.post("/visits/other/move", data=sent, headers=PART)
    assert stale.status_code == 409
