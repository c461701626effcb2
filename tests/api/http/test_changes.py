"""The record of changes over HTTP: who changed what, when, from what to what."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.studio_kit import Client, body, book, ok
from tests.builders import DAY, a_chair

pytestmark = pytest.mark.anyio


async def _told(client: Client, **wanted: Any) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = ok(await client.get("/v1/changes", params=wanted))["items"]
    return found


async def test_a_booking_has_its_whole_story_in_one_call(studio: Client) -> None:
    await book(studio, "one")
    ok(await studio.patch("/v1/bookings/one", json={"tolerance": 15}))
    ok(await studio.delete("/v1/bookings/one"))
    story = await _told(studio, kind="booking", name="one")
    assert [(told["act"], told["operation"]) for told in story] == [
        ("changed", "cancelBooking"),
        ("changed", "changeBooking"),
        ("added", "createBooking"),
    ]
    assert story[0]["before"] == story[1]["after"]
    assert story[0]["after"]["status"] == "CANCELLED"
    assert story[2]["before"] is None
    assert {told["who"] for told in story} == {"anybody"}
    assert {told["at"] for told in story} == {"2026-11-30T12:00:00Z"}


async def test_pages_lead_through_the_whole_record_once(studio: Client) -> None:
    whole = await _told(studio, limit=500)
    assert len(whole) > 5
    seen: list[dict[str, Any]] = []
    after = ""
    while after is not None:
        page = ok(await studio.get("/v1/changes", params={"limit": 3, "after": after}))
        seen += page["items"]
        after = page["next"]
    assert seen == whole
    numbers = [int(told["id"]) for told in whole]
    assert numbers == sorted(numbers, reverse=True)


async def test_filters_leave_what_was_asked_for(studio: Client) -> None:
    ok(await studio.post("/v1/chairs", json=body(a_chair("third"))))
    assert {told["kind"] for told in await _told(studio, kind="chair")} == {"chair"}
    assert [told["name"] for told in await _told(studio, kind="chair", name="third")] == ["third"]
    assert await _told(studio, who="somebody-else") == []
    today = {"from": "2026-11-30", "to": "2026-11-30"}
    assert await _told(studio, **today) == await _told(studio)
    assert await _told(studio, **{"from": str(DAY)}) == []


async def test_a_request_that_is_refused_leaves_no_record(studio: Client) -> None:
    before = await _told(studio)
    assert (await studio.post("/v1/chairs", json=body(a_chair("chair-1")))).status_code == 409
    assert await _told(studio) == before


@pytest.mark.parametrize("after", ["abc", "9" * 30])
async def test_a_page_that_cannot_be_is_refused(studio: Client, after: str) -> None:
    refused = await studio.get("/v1/changes", params={"after": after})
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "after"


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE"])
async def test_there_is_no_way_to_write_in_the_record(studio: Client, method: str) -> None:
    assert (await studio.request(method, "/v1/changes")).status_code == 405
