"""Edits say what they were made on; lists say where they go on; long answers are squeezed."""

from __future__ import annotations

import gzip
import re
from typing import Any

import pytest

from api.description.document import describe
from api.services.versions import Expectation, tag_of
from tests.api.studio_kit import SALON, Client, an_install, body, book, ok
from tests.builders import a_chair, a_lead, a_shift

pytestmark = pytest.mark.anyio
SHIFT = body(a_shift("lead-1", "18:00", "19:00"))
LATE = {"code": "latest-start", "label": "long", "parameters": {"longer": 120, "after": "14:00"}}
STYLE = {"name": "Knotless", "technique": "knotless", "size": "medium", "length_cm": 60}
ENTRY = {"id": "knotless", "style": STYLE, "price": 18000, "currency": "EUR"}
STOCK = "/v1/hair-stock/fill-kinky-black-26"
EDITS: dict[str, tuple[str, str, Any]] = {
    "putSalon": ("PUT", "/v1/salon", SALON | {"name": "Other"}),
    "replaceStyle": ("PUT", "/v1/styles/knotless", ENTRY | {"price": 1}),
    "replaceChair": ("PUT", "/v1/chairs/chair-1", body(a_chair("chair-1", name="Other"))),
    "replaceStaff": ("PUT", "/v1/staff/lead-1", body(a_lead("lead-1", pace=1.1))),
    "replaceShift": ("PUT", f"/v1/staff/lead-1/shifts/{SHIFT['id']}", SHIFT),
    "setRate": ("PUT", "/v1/rates/wash", {"value": 41}),
    "setRule": ("PUT", "/v1/rules/turnaround", {"code": "turnaround"}),
    "putRuleSetting": ("PUT", "/v1/rules/latest-start/settings/long", LATE),
    "setHairStock": ("PUT", STOCK, {"on_hand_grams": 2}),
    "changeBooking": ("PATCH", "/v1/bookings/one", {"tolerance": 5}),
    "cancelBooking": ("DELETE", "/v1/bookings/one", None),
    "removeShift": ("DELETE", f"/v1/staff/lead-1/shifts/{SHIFT['id']}", None),
    "resetRate": ("DELETE", "/v1/rates/wash", None),
    "removeRuleSetting": ("DELETE", "/v1/rules/latest-start/settings/long", None),
    "resetRule": ("DELETE", "/v1/rules/turnaround", None),
    "retireStyle": ("DELETE", "/v1/styles/knotless", None),
    "retireStaff": ("DELETE", "/v1/staff/lead-1", None),
    "retireChair": ("DELETE", "/v1/chairs/chair-1", None),
}
NEVER_CHANGED = {
    *("reopenChair", "removeFinishedVisit", "releaseHold"),
    *("revokeCalendarFeed", "removeWebhook"),
}
"""What is withdrawn here stays as it was made until then: nobody's edit can be lost."""
LATER_WORD_COUNTS = {"tapVisit", "untapVisit", "useHair"}
"""A moment on the clock, and what the scales say, are no edit of what somebody read."""


def test_every_edit_asks_what_was_seen() -> None:
    edits = {
        operation["operationId"]: operation
        for methods in describe()["paths"].values()
        for method, operation in methods.items()
        if method in {"put", "patch", "delete"}
    }
    assert set(edits) == set(EDITS) | NEVER_CHANGED | LATER_WORD_COUNTS
    for name in EDITS:
        assert {"412", "428"} <= set(edits[name]["responses"]), name
        assert "If-Match" in {each["name"] for each in edits[name]["parameters"]}, name


async def _say(client: Client, edit: str, tag: str | None) -> Any:
    method, path, document = EDITS[edit]
    headers = {} if tag is None else {"If-Match": tag}
    return await client.request(method, path, json=document, headers=headers)


async def test_an_edit_is_made_on_what_was_seen_or_not_at_all(studio: Client) -> None:
    ok(await studio.post("/v1/styles", json=ENTRY))
    ok(await studio.post("/v1/staff/lead-1/shifts", json=SHIFT))
    ok(await studio.put("/v1/rates/wash", json={"value": 42}))
    ok(await studio.put("/v1/rules/turnaround", json={"code": "turnaround", "on": False}))
    ok(await studio.put("/v1/rules/latest-start/settings/long", json=LATE | {"on": False}))
    ok(await studio.put(STOCK, json={"on_hand_grams": 1}))
    await book(studio, "one")
    for edit, (_, path, _) in EDITS.items():
        before = await studio.get(path)
        tag = before.headers["etag"]
        for stated, status in ((None, 428), ('"old"', 412), (f"W/{tag}", 412)):
            refused = await _say(studio, edit, stated)
            assert refused.status_code == status, f"{edit} {stated}: {refused.text}"
        assert (await studio.get(path)).text == before.text
        done = await _say(studio, edit, tag)
        assert done.is_success, f"{edit}: {done.text}"
        if edit == "replaceShift":
            continue  # the same again
        stale = await _say(studio, edit, tag)
        assert stale.status_code in {412, 404}, f"{edit}: {stale.status_code}"


async def test_what_is_not_there_yet_needs_nothing_to_be_seen(empty: Client) -> None:
    for edit in ("putSalon", "setRate", "setRule", "putRuleSetting", "setHairStock"):
        assert (await _say(empty, edit, None)).is_success, edit
        assert (await _say(empty, edit, None)).status_code == 428, edit


async def test_a_star_overwrites_whatever_is_there_and_nothing_else(studio: Client) -> None:
    assert (await _say(studio, "replaceChair", "*")).status_code == 200
    assert (await _say(studio, "putRuleSetting", "*")).status_code == 412


async def test_the_tag_of_a_shift_is_told_when_it_is_made(studio: Client) -> None:
    made = await studio.post("/v1/staff/lead-1/shifts", json=SHIFT)
    there = await studio.get(made.headers["location"])
    assert made.headers["etag"] == there.headers["etag"]


def test_a_tag_is_of_what_the_document_says() -> None:
    one, other = a_chair("one"), a_chair("one", name="Other")
    assert tag_of(one) == tag_of(a_chair("one")) != tag_of(other)
    Expectation.of(tag_of(one)).require_tag(tag_of(one))


async def test_links_lead_through_a_list_once(empty: Client) -> None:
    for name in ("c", "a", "e", "b", "d"):
        ok(await empty.post("/v1/chairs", json=body(a_chair(name))))
    path, seen = "/v1/chairs?limit=2", []
    while path:
        page = await empty.get(path)
        seen += [item["id"] for item in page.json()["items"]]
        links = {
            kind: to for to, kind in re.findall(r'<([^>]*)>; rel="(\w+)"', page.headers["link"])
        }
        assert links["first"] == "/v1/chairs?limit=2"
        assert ("next" in links) is (page.json()["next"] is not None)
        path = links.get("next", "")
    assert seen == ["a", "b", "c", "d", "e"]


async def test_a_link_keeps_the_rest_of_the_question(studio: Client) -> None:
    page = await studio.get("/v1/changes", params={"kind": "chair", "limit": 1})
    assert '</v1/changes?kind=chair&limit=1>; rel="first"' in page.headers["link"]
    assert re.search(
        r'</v1/changes\?kind=chair&limit=1&after=\d+>; rel="next"', page.headers["link"]
    )


def test_every_list_is_described_with_its_link() -> None:
    for path, methods in describe()["paths"].items():
        for operation in methods.values():
            if {"after", "limit"} <= {each["name"] for each in operation.get("parameters", ())}:
                assert "Link" in operation["responses"]["200"]["headers"], path


def test_every_list_in_a_body_is_bounded() -> None:
    """So that a body within its limit in bytes cannot ask for endless work either."""
    schemas = describe()["components"]["schemas"]
    seen: set[str] = set()

    def walk(node: Any, where: str) -> None:
        if isinstance(node, list):
            for each in node:
                walk(each, where)
        if not isinstance(node, dict):
            return
        name = str(node.get("$ref", "")).rsplit("/", 1)[-1]
        if name and name not in seen:
            seen.add(name)
            walk(schemas[name], name)
        if node.get("type") == "array":
            assert "maxItems" in node, where
        for key, each in node.items():
            walk(each, f"{where}/{key}")

    for methods in describe()["paths"].values():
        for operation in methods.values():
            walk(operation.get("requestBody"), operation["operationId"])
    assert len(seen) > 20


async def test_a_long_answer_is_squeezed_for_those_who_take_it(empty: Client) -> None:
    plain = await empty.get("/v1/rates", headers={"Accept-Encoding": "identity"})
    assert "content-encoding" not in plain.headers
    async with empty.stream("GET", "/v1/rates", headers={"Accept-Encoding": "gzip"}) as answer:
        raw = b"".join([part async for part in answer.aiter_raw()])
    assert answer.headers["content-encoding"] == "gzip"
    assert "Accept-Encoding" in answer.headers["vary"]
    assert gzip.decompress(raw) == plain.content
    assert len(raw) < len(plain.content) / 3
    page = await empty.get("/", headers={"Accept-Encoding": "gzip"})
    assert "content-encoding" not in page.headers


async def test_an_answer_that_is_kept_is_squeezed_only_on_its_way(studio: Client) -> None:
    request = {"request": an_install("one")}
    headers = {"Idempotency-Key": '"a"', "Accept-Encoding": "gzip"}
    first = await studio.post("/v1/bookings", json=request, headers=headers)
    again = await studio.post(
        "/v1/bookings", json=request, headers=headers | {"Accept-Encoding": "identity"}
    )
    assert first.status_code == again.status_code == 201
    assert first.json() == again.json()
    assert "content-encoding" not in again.headers
