"""Wrong input of many kinds to every path: the field is named, and nothing is kept."""

from __future__ import annotations

import copy
import json
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from api.description.document import describe
from tests.api.record_examples import OUT
from tests.api.studio_kit import SALON, Client, an_install, body
from tests.builders import a_chair, a_closure, a_lead, a_shift

pytestmark = pytest.mark.anyio

SHOWN = json.loads(OUT.read_text())
STYLE = {"name": "Knotless", "technique": "knotless", "size": "medium", "length_cm": 60}
ENTRY = {"id": "knotless", "style": STYLE, "price": 18000, "currency": "EUR"}
SHIFT = body(a_shift("lead-1", "18:00", "19:00"))
CLOSURE = {"id": "broken", **body(a_closure("12:00", "13:00"))}
FINISHED = {
    "id": "one",
    "day": "2026-11-27",
    "technique": "knotless",
    "booked": 200,
    "actual": 240,
}


def an_opening(name: str) -> dict[str, Any]:
    """An opening as the service gave it when the examples were recorded, for another request."""
    opening = copy.deepcopy(SHOWN["findOpenings"]["answer"]["openings"][0])
    opening["visit"]["visit"] = name
    return opening


# method, path, a good body, pointer to a name in it, pointer to a number in it (or none)
OPERATIONS: dict[str, tuple[str, str, dict[str, Any], str, str | None]] = {
    "putSalon": ("PUT", "/v1/salon", SALON, "/name", "/hours/0/weekday"),
    "addStyle": ("POST", "/v1/styles", ENTRY, "/id", "/price"),
    "replaceStyle": ("PUT", "/v1/styles/knotless", ENTRY, "/id", "/price"),
    "takeOff": ("POST", "/v1/take-offs", {"style": STYLE}, "/style/technique", "/style/length_cm"),
    "drawParting": (
        "POST",
        "/v1/parting-maps",
        {"style": STYLE},
        "/style/size",
        "/style/length_cm",
    ),
    "setRate": ("PUT", "/v1/rates/wash", {"value": 45, "note": "Slow basin"}, "/note", "/value"),
    "addFinishedVisit": (
        *("POST", "/v1/staff/lead-1/finished-visits", FINISHED),
        *("/technique", "/actual"),
    ),
    "adoptPace": ("POST", "/v1/staff/lead-1/pace", {"technique": "knotless"}, "/technique", None),
    "addChair": ("POST", "/v1/chairs", body(a_chair("chair-3")), "/id", None),
    "replaceChair": ("PUT", "/v1/chairs/chair-1", body(a_chair("chair-1")), "/id", None),
    "closeChair": ("POST", "/v1/chairs/chair-1/closures", CLOSURE, "/id", None),
    "addStaff": ("POST", "/v1/staff", body(a_lead("lead-3")), "/id", "/pace"),
    "replaceStaff": ("PUT", "/v1/staff/lead-1", body(a_lead("lead-1")), "/id", "/pace"),
    "addShift": ("POST", "/v1/staff/lead-1/shifts", SHIFT, "/id", None),
    "replaceShift": ("PUT", "/v1/staff/lead-1/shifts/some", SHIFT | {"id": "some"}, "/id", None),
    "setRule": (
        "PUT",
        "/v1/rules/turnaround",
        {"code": "turnaround", "weight": 2},
        "/code",
        "/weight",
    ),
    "putRuleSetting": (
        *("PUT", "/v1/rules/latest-start/settings/long"),
        *({"code": "latest-start", "label": "long", "weight": 2}, "/code", "/weight"),
    ),
    "findOpenings": (
        *("POST", "/v1/openings", {"request": an_install("one"), "limit": 3}),
        *("/request/id", "/limit"),
    ),
    "findGroupOpenings": (
        *("POST", "/v1/group-openings"),
        {"requests": [an_install("one"), an_install("two")], "limit": 3},
        *("/requests/0/id", "/limit"),
    ),
    "findSeriesOpenings": (
        *("POST", "/v1/series-openings"),
        {"request": an_install("one"), "weeks": 7, "visits": 2},
        *("/request/id", "/weeks"),
    ),
    "createBookingSet": (
        *("POST", "/v1/booking-sets"),
        {
            "bookings": [
                {"request": an_install(name), "opening": an_opening(name)}
                for name in ("one", "two")
            ]
        },
        *("/bookings/0/request/id", "/bookings/0/request/max_assistants"),
    ),
    "holdOpening": (
        *("POST", "/v1/holds"),
        {"request": an_install("one"), "opening": an_opening("one"), "minutes": 10},
        *("/request/id", "/minutes"),
    ),
    "offerPlace": (
        *("POST", "/v1/waiting-list/one/offers"),
        {"opening": an_opening("one"), "minutes": 30},
        *("/opening/visit/visit", "/minutes"),
    ),
    "askGapTakers": ("POST", "/v1/gap-takers", {"freed": "one"}, "/freed", None),
    "createBooking": (
        *("POST", "/v1/bookings", {"request": an_install("one")}),
        *("/request/id", "/request/max_assistants"),
    ),
    "changeBooking": (
        *("PATCH", "/v1/bookings/one", {"client": "Somebody", "tolerance": 15}),
        *("/client", "/tolerance"),
    ),
    "addWebhook": (
        *("POST", "/v1/webhooks", {"id": "till", "url": "https://till.example/hooks"}),
        *("/id", None),
    ),
    "makePlan": (
        *("POST", "/v1/plans", {"first": "2026-12-01", "last": "2026-12-01", "seed": 1}),
        *("/first", "/seed"),
    ),
    "rearrangeDays": (
        *("POST", "/v1/rearranged-days", {"request": an_install("one"), "days": 2}),
        *("/request/id", "/days"),
    ),
    "exportClient": ("POST", "/v1/client-exports", {"client": "Amina"}, "/client", None),
    "eraseClient": ("POST", "/v1/client-erasures", {"client": "Amina"}, "/client", None),
    "askWhyNot": (
        *("POST", "/v1/why-not", {"request": an_install("one"), "seconds": 1}),
        *("/request/id", "/seconds"),
    ),
    "repairDays": (
        *("POST", "/v1/repairs", {"events": [{"kind": "no-show", "visit": "one"}], "seconds": 1}),
        *("/events/0/visit", "/seconds"),
    ),
    "setHairStock": (
        *("PUT", "/v1/hair-stock/fill-kinky-black-26"),
        *({"on_hand_grams": 100, "on_order": [{"grams": 1, "arrives": "2026-12-04"}]},),
        *("/on_order/0/arrives", "/on_hand_grams"),
    ),
    "addStockEntry": (
        *("POST", "/v1/hair-stock/fill-kinky-black-26/entries"),
        *({"kind": "receipt", "grams": 820, "reason": "Two boxes"}, "/kind", "/grams"),
    ),
    "tapVisit": (
        *("PUT", "/v1/bookings/one/clock/started"),
        *({"at": "2026-11-30T11:00:00Z"}, "/at", None),
    ),
    "useHair": (
        *("PUT", "/v1/bookings/one/hair"),
        *({"hair": [{"material": "fill-kinky-black-26", "grams": 400}]}, "/hair/0/material"),
        "/hair/0/grams",
    ),
    "makeCalendarFeed": (
        *("POST", "/v1/calendar-feeds"),
        *({"id": "phone", "kind": "person", "subject": "lead-1"}, "/id", None),
    ),
}
NULL_IS_WELL = {
    "/v1/bookings/one",
    "/v1/rates/wash",
    "/v1/staff/lead-1/pace",
    "/v1/bookings/one/clock/started",
}
"""Where null says: nothing is to change, no note, all techniques together, now."""
PARAMETERS = [pytest.param(*each, id=name) for name, each in OPERATIONS.items()]


def _changed(document: dict[str, Any], pointer: str, value: Any) -> dict[str, Any]:
    changed = copy.deepcopy(document)
    here: Any = changed
    *parts, last = pointer.strip("/").split("/")
    for part in parts:
        here = here[int(part) if isinstance(here, list) else part]
    here[int(last) if isinstance(here, list) else last] = value
    return changed


def _wrong(
    document: dict[str, Any], name: str, number: str | None
) -> Iterator[tuple[str, Any, str]]:
    """What is wrong, the body, and the pointer that the answer must name."""
    yield "a field nobody knows", document | {"colour": "red"}, "/colour"
    yield "NUL in a name", _changed(document, name, "a\x00b"), name
    yield "a name that is a number", _changed(document, name, 7), name
    yield "a name that is far too long", _changed(document, name, "a" * 5000), name
    yield "an empty name", _changed(document, name, ""), name
    yield "a name that is null", _changed(document, name, None), name
    yield "a list for a name", _changed(document, name, ["a"]), name
    yield "a list for the body", [document], ""
    yield "text for the body", "hello", ""
    if number is not None:
        yield "a number as text", _changed(document, number, "7"), number
        yield "true for a number", _changed(document, number, True), number
        yield "a huge number", _changed(document, number, 10**18), number
        yield "a negative number", _changed(document, number, -1), number


def _contents(folder: Path) -> dict[str, list[tuple[Any, ...]]]:
    connection = sqlite3.connect(folder / "book.db")
    names = [
        row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type='table'")
    ]
    told = {name: connection.execute(f"SELECT * FROM {name}").fetchall() for name in names}  # noqa: S608
    connection.close()
    return told


@pytest.mark.parametrize(("method", "path", "good", "name", "number"), PARAMETERS)
async def test_wrong_fields_are_named_and_nothing_is_kept(
    *,
    studio: Client,
    tmp_path: Path,
    method: str,
    path: str,
    good: dict[str, Any],
    name: str,
    number: str | None,
) -> None:
    before = _contents(tmp_path)
    kinds = 0
    for what, wrong, pointer in _wrong(good, name, number):
        if what == "a name that is null" and path in NULL_IS_WELL:
            continue
        answer = await studio.request(method, path, json=wrong)
        assert answer.status_code == 422, f"{what}: {answer.status_code} {answer.text[:300]}"
        assert answer.headers["content-type"] == "application/problem+json", what
        named = [error["pointer"] for error in answer.json()["errors"]]
        assert pointer in named, f"{what}: {named}"
        assert "a\x00b" not in answer.text
        assert "a" * 300 not in answer.text
        kinds += 1
    assert kinds >= 8
    assert _contents(tmp_path) == before


@pytest.mark.parametrize(("method", "path", "good", "name", "number"), PARAMETERS)
async def test_wrong_bodies_are_told_apart_and_nothing_is_kept(
    *,
    studio: Client,
    tmp_path: Path,
    method: str,
    path: str,
    good: dict[str, Any],
    name: str,
    number: str | None,
) -> None:
    before = _contents(tmp_path)
    text = json.dumps(good)
    surrogate = json.dumps(_changed(good, name, "\ud800")).encode()
    as_json = {"Content-Type": "application/json"}
    cases: list[tuple[str, bytes, dict[str, str], int]] = [
        ("half a body", text[: len(text) // 2].encode(), as_json, 400),
        ("no JSON at all", b"\xff\xfe\x00", as_json, 400),
        ("NaN", b'{"a": NaN}', as_json, 400),
        ("a lone surrogate", surrogate, as_json, 400),
        ("nothing", b"", as_json, 422),
        ("null", b"null", as_json, 422),
        ("a form", b"a=b", {"Content-Type": "application/x-www-form-urlencoded"}, 415),
        ("XML", b"<a/>", {"Content-Type": "application/xml"}, 415),
        ("far too much", b'{"a": "' + b"a" * 1_000_001 + b'"}', as_json, 413),
    ]
    for what, content, headers, status in cases:
        answer = await studio.request(method, path, content=content, headers=headers)
        assert answer.status_code == status, f"{what}: {answer.status_code} {answer.text[:300]}"
        assert answer.headers["content-type"] == "application/problem+json", what
        assert answer.json()["status"] == status, what
    deep = b"[" * 100_000 + b"]" * 100_000
    answer = await studio.request(method, path, content=deep, headers=as_json)
    assert answer.status_code == 400
    assert _contents(tmp_path) == before


def test_every_operation_with_a_body_is_tried_here() -> None:
    with_body = {
        operation["operationId"]
        for path in describe()["paths"].values()
        for operation in path.values()
        if "requestBody" in operation
    }
    assert with_body == set(OPERATIONS)


@pytest.mark.parametrize(
    "name", ["UPPER", "a%00b", "a" * 65, "%ED%A0%80", "-a", "a_b", "a%2Fb", "..", "%F0%9F%92%87"]
)
@pytest.mark.parametrize(
    "path", ["/v1/chairs/{}", "/v1/bookings/{}", "/v1/plans/{}", "/v1/days/{}", "/v1/rules/{}"]
)
async def test_a_name_that_cannot_be_is_refused(studio: Client, path: str, name: str) -> None:
    answer = await studio.get(path.format(name))
    assert answer.status_code in {404, 422}
    assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize(
    "date", ["0001-01-01", "9999-12-31", "2026-02-30", "2026-13-01", "20261201"]
)
async def test_a_date_that_is_out_of_reach_is_refused(studio: Client, date: str) -> None:
    answer = await studio.get(f"/v1/days/{date}")
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "date"


@pytest.mark.parametrize(
    ("start", "end"),
    [
        ("0001-01-01T00:00:00Z", "0001-01-02T00:00:00Z"),
        ("9999-12-31T00:00:00Z", "9999-12-31T23:00:00Z"),
        ("2026-12-01T09:00:00", "2026-12-01T10:00:00"),
        ("2026-12-01T09:00:30Z", "2026-12-01T10:00:00Z"),
        ("2026-12-01T10:00:00Z", "2026-12-01T09:00:00Z"),
        ("2000-01-01T00:00:00Z", "2100-12-31T00:00:00Z"),
        ("2026-12-01T09:00:00+99:00", "2026-12-01T10:00:00+99:00"),
        ("1796115600", "1796119200"),
    ],
)
@pytest.mark.parametrize("path", ["/v1/openings", "/v1/bookings"])
async def test_a_window_that_is_out_of_reach_is_refused(
    studio: Client, path: str, start: str, end: str
) -> None:
    request = an_install("one") | {"windows": [{"start": start, "end": end}]}
    answer = await studio.post(path, json={"request": request})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"].startswith("/request/windows")


@pytest.mark.parametrize(
    ("params", "name"),
    [
        ({"limit": 0}, "limit"),
        ({"limit": 501}, "limit"),
        ({"limit": "many"}, "limit"),
        ({"limit": 10**30}, "limit"),
        ({"after": "A B"}, "after"),
        ({"afer": "a"}, "afer"),
        ({"day": "yesterday"}, "day"),
        ({"day": "2026-02-31"}, "day"),
        ({"status": "LOST"}, "status"),
        ({"day": "2026-12-01\x00"}, "day"),
    ],
)
async def test_a_query_that_makes_no_sense_is_named(
    studio: Client, params: dict[str, Any], name: str
) -> None:
    answer = await studio.get("/v1/bookings", params=params)
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == [name]


async def test_what_is_not_there_and_what_is_not_allowed_are_problems_too(studio: Client) -> None:
    nothing = await studio.get("/v1/nothing?secret=1")
    assert (nothing.status_code, nothing.json()["status"]) == (404, 404)
    assert "secret" not in nothing.text
    refused = await studio.request("PATCH", "/v1/chairs")
    assert refused.status_code == 405
    assert {"GET", "POST"} <= {part.strip() for part in refused.headers["allow"].split(",")}
    assert refused.headers["content-type"] == "application/problem+json"


async def test_what_goes_wrong_inside_is_not_told_outside(
    studio: Client, caplog: pytest.LogCaptureFixture
) -> None:
    async def broken(*_: object) -> None:
        raise RuntimeError("the password is hunter2")

    days = studio.app.state.desk.days
    days.read = broken
    answer = await studio.get("/v1/days/2026-12-01")
    assert answer.status_code == 500
    assert answer.headers["content-type"] == "application/problem+json"
    assert "hunter2" not in answer.text
    assert "hunter2" in caplog.text


async def test_a_parameter_that_does_not_fit_is_told_what_belongs_there(studio: Client) -> None:
    answered = await studio.get("/v1/reports/chair-utilisation", params={"week": "2026-W60"})
    assert answered.json()["errors"] == [
        {"pointer": "week", "detail": "is not of this kind: An ISO 8601 week, such as 2026-W49"}
    ]


async def test_a_path_that_does_not_fit_is_told_by_the_name_in_the_description(
    studio: Client,
) -> None:
    answered = await studio.get("/v1/chairs/NOT-A-NAME")
    assert [fault["pointer"] for fault in answered.json()["errors"]] == ["id"]
