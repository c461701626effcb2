"""Rates of the house over HTTP, and that everything reckons with them."""

from __future__ import annotations

from typing import Any

import pytest

from solver.takeoff import house_rates
from tests.api.studio_kit import Client, body, book, ok, openings_for
from tests.builders import a_lead, a_request, a_window, an_assistant, skills

pytestmark = pytest.mark.anyio

STYLE = {
    "name": "Knotless",
    "technique": "knotless",
    "size": "large",
    "length_cm": 60,
    "braids": 30,
}


async def _rate(client: Client, code: str) -> dict[str, Any]:
    rate: dict[str, Any] = ok(await client.get(f"/v1/rates/{code}"))
    return rate


async def test_every_rate_is_listed_with_unit_range_and_provenance(empty: Client) -> None:
    listed = ok(await empty.get("/v1/rates"))["items"]
    assert [rate["code"] for rate in listed] == [rate.code for rate in house_rates()]
    for rate in listed:
        assert rate["low"] <= rate["value"] <= rate["high"]
        assert rate["unit"]
        assert rate["provenance"] in {"house", "common-practice", "published"}
        assert (rate["provenance"] == "published") == (rate["source"] is not None)
        assert (rate["default"], rate["own"]) == (rate["value"], False)
    assert await _rate(empty, listed[3]["code"]) == listed[3]


async def test_the_salons_own_figure_holds_until_it_is_taken_back(empty: Client) -> None:
    before = await _rate(empty, "wash")
    told = {"value": 45, "provenance": "learned", "note": "Our basin is slow"}
    mine = ok(await empty.put("/v1/rates/wash", json=told))
    assert mine == before | told | {"default": before["value"], "own": True}
    assert await _rate(empty, "wash") == mine
    assert mine in ok(await empty.get("/v1/rates"))["items"]
    assert ok(await empty.delete("/v1/rates/wash")) == before
    assert ok(await empty.delete("/v1/rates/wash")) == before


@pytest.mark.parametrize(
    ("told", "pointer"),
    [
        ({"value": 9999}, "/value"),  # the range ends at 120
        ({"value": 4.99}, "/value"),  # and begins at 5
        ({"value": -1}, "/value"),
        ({"value": "45"}, "/value"),
        ({"value": 45, "provenance": "published"}, ""),
        ({"value": 45, "source": "A text"}, ""),
        ({"value": 45, "code": "wash"}, "/code"),
        ({}, "/value"),
    ],
)
async def test_a_figure_that_cannot_be_is_refused_by_field(
    empty: Client, told: dict[str, Any], pointer: str
) -> None:
    answer = await empty.put("/v1/rates/wash", json=told)
    assert answer.status_code == 422
    assert [fault["pointer"] for fault in answer.json()["errors"]] == [pointer]
    assert (await _rate(empty, "wash"))["own"] is False


async def test_the_range_is_told_where_it_is_left(empty: Client) -> None:
    answer = await empty.put("/v1/rates/wash", json={"value": 9999})
    (fault,) = answer.json()["errors"]
    assert fault["detail"] == "wash must lie between 5 and 120 min, and 9999 does not"


async def test_a_rate_nobody_knows_is_not_there(empty: Client) -> None:
    for answer in (
        await empty.get("/v1/rates/wish"),
        await empty.put("/v1/rates/wish", json={"value": 1}),
        await empty.delete("/v1/rates/wish"),
    ):
        assert answer.status_code == 404


async def test_take_offs_reckon_with_the_salons_rates_and_the_questions_go_first(
    empty: Client,
) -> None:
    async def wash(**question: Any) -> float:
        answer = ok(await empty.post("/v1/take-offs", json={"style": STYLE, **question}))
        (minutes,) = (each["mean"] for each in answer["phase_minutes"] if each["kind"] == "wash")
        return float(minutes)

    assert await wash() == 30
    ok(await empty.put("/v1/rates/wash", json={"value": 60}))
    assert await wash() == 60
    assert await wash(rates=[{"code": "wash", "value": 90}]) == 90
    ok(await empty.delete("/v1/rates/wash"))
    assert await wash() == 30


async def test_openings_and_bookings_reckon_with_them_and_old_bookings_stay(
    studio: Client,
) -> None:
    able = skills("knotless", "wash", "hair-prep", "finish", "assist", level=4)
    for person in (a_lead("lead-1", skills=able), an_assistant(skills=able)):
        ok(await studio.put(f"/v1/staff/{person.id}", json=body(person)))
    asked = body(a_request("one", phases=(), take_off={"style": STYLE})) | {
        "windows": [body(a_window("9:00", "18:00"))]
    }

    def minutes(phases: list[dict[str, Any]]) -> int:
        return sum(phase["minutes"] for phase in phases)

    usual = await openings_for(studio, asked)
    made = ok(await studio.post("/v1/bookings", json={"request": asked, "opening": usual[0]}))
    before = minutes(made["request"]["phases"])
    assert ok(await studio.delete("/v1/bookings/one"))["status"] == "CANCELLED"

    ok(await studio.put("/v1/rates/per-cm-knotless", json={"value": 0.05}))
    second = asked | {"id": "two"}
    slower = await openings_for(studio, second)
    stale = usual[0] | {"visit": usual[0]["visit"] | {"visit": "two"}}
    late = await studio.post("/v1/bookings", json={"request": second, "opening": stale})
    assert late.status_code == 409  # the old opening is too short for the work as it is now
    made = ok(await studio.post("/v1/bookings", json={"request": second, "opening": slower[0]}))
    after = minutes(made["request"]["phases"])
    assert after > before
    third = ok(await studio.post("/v1/bookings", json={"request": asked | {"id": "three"}}))
    assert minutes(third["request"]["phases"]) == after

    ok(await studio.delete("/v1/rates/per-cm-knotless"))
    kept = ok(await studio.get("/v1/bookings/two"))
    assert minutes(kept["request"]["phases"]) == after


async def test_setting_a_rate_does_not_disturb_a_book_that_is_being_planned(
    studio: Client,
) -> None:
    await book(studio, "one")
    before = ok(await studio.get("/v1/bookings/one"))
    ok(await studio.put("/v1/rates/wash", json={"value": 60}))
    assert ok(await studio.get("/v1/bookings/one")) == before
