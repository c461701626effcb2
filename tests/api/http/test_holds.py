"""A place kept for one client for some minutes."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from tests.api.studio_kit import NOW, Client, an_install, book, ok, openings_for
from tests.builders import DAY, a_phase, a_window

pytestmark = pytest.mark.anyio


def for_(name: str, opening: dict[str, Any]) -> dict[str, Any]:
    return {**opening, "visit": {**opening["visit"], "visit": name}}


async def hold(client: Client, name: str, minutes: int = 10, **changes: Any) -> dict[str, Any]:
    request = an_install(name, **changes)
    opening = (await openings_for(client, request))[0]
    told = {"request": request, "opening": opening, "minutes": minutes}
    held: dict[str, Any] = ok(await client.post("/v1/holds", json=told))
    return held


def pass_minutes(client: Client, minutes: float) -> None:
    client.app.state.desk.openings.clock.instant = NOW + timedelta(minutes=minutes)


async def test_a_hold_says_until_when_and_can_be_read(studio: Client) -> None:
    request = an_install("one")
    opening = (await openings_for(studio, request))[0]
    made = await studio.post("/v1/holds", json={"request": request, "opening": opening})
    assert made.status_code == 201
    assert made.headers["location"] == "/v1/holds/one"
    held = made.json()
    assert held["opening"] == opening
    assert held["until"] == "2026-11-30T12:10:00Z"
    assert ok(await studio.get("/v1/holds/one")) == held
    assert [each["id"] for each in ok(await studio.get("/v1/holds"))["items"]] == ["one"]
    assert (await studio.get("/v1/bookings/one")).status_code == 404


@pytest.mark.parametrize("minutes", [0, 61])
async def test_a_hold_lasts_a_minute_to_an_hour(studio: Client, minutes: int) -> None:
    request = an_install("one")
    opening = (await openings_for(studio, request))[0]
    told = {"request": request, "opening": opening, "minutes": minutes}
    answer = await studio.post("/v1/holds", json=told)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/minutes"


async def test_a_held_place_is_neither_offered_nor_sold_nor_held_again(studio: Client) -> None:
    held = await hold(studio, "one")
    mine = held["opening"]
    offered = await openings_for(studio, an_install("two"))
    assert all((each["lead"], each["start"]) != (mine["lead"], mine["start"]) for each in offered)
    told = {"request": an_install("two"), "opening": for_("two", mine)}
    for path in ("/v1/bookings", "/v1/holds"):
        refused = await studio.post(path, json=told)
        assert refused.status_code == 409
        assert refused.json()["type"] == "/problems/opening-gone"
        fresh = refused.json()["openings"]
        assert fresh
        assert all((each["lead"], each["start"]) != (mine["lead"], mine["start"]) for each in fresh)


async def test_a_hold_becomes_a_booking_with_its_place(studio: Client) -> None:
    held = await hold(studio, "one")
    made = await studio.post("/v1/holds/one/booking")
    assert made.status_code == 201
    assert made.headers["location"] == "/v1/bookings/one"
    record = made.json()
    assert record["status"] == "CONFIRMED"
    assert record["placed"] == held["opening"]["visit"]
    assert record["promise"]["latest_finish"] == held["opening"]["finish"]
    assert ok(await studio.get("/v1/bookings/one")) == record
    assert (await studio.get("/v1/holds/one")).status_code == 404
    day = ok(await studio.get(f"/v1/days/{DAY}"))
    assert [visit["status"] for visit in day["visits"]] == ["CONFIRMED"]
    assert day["findings"] == []


async def test_a_hold_is_booked_once(studio: Client) -> None:
    await hold(studio, "one")
    ok(await studio.post("/v1/holds/one/booking"))
    assert (await studio.post("/v1/holds/one/booking")).status_code == 404


async def test_a_place_let_go_is_free_again(studio: Client) -> None:
    before = await openings_for(studio, an_install("two"))
    await hold(studio, "one")
    assert (await studio.delete("/v1/holds/one")).status_code == 204
    assert (await studio.delete("/v1/holds/one")).status_code == 404
    after = await openings_for(studio, an_install("two"))
    assert [each["visit"] for each in after] == [each["visit"] for each in before]
    await book(studio, "two")


async def test_a_hold_frees_itself_when_its_time_is_over(studio: Client) -> None:
    held = await hold(studio, "one", minutes=10)
    mine = for_("two", held["opening"])
    pass_minutes(studio, 9.99)
    assert (await studio.get("/v1/holds/one")).status_code == 200
    pass_minutes(studio, 10)
    assert (await studio.get("/v1/holds/one")).status_code == 404
    assert ok(await studio.get("/v1/holds"))["items"] == []
    assert ok(await studio.get(f"/v1/days/{DAY}"))["visits"] == []
    offered = await openings_for(studio, an_install("two"))
    assert offered[0]["visit"]["window"] == mine["visit"]["window"]
    assert (await studio.post("/v1/holds/one/booking")).status_code == 404
    told = {"request": an_install("two"), "opening": mine}
    assert (await studio.post("/v1/bookings", json=told)).status_code == 201


async def test_a_kept_book_forgets_a_hold_without_any_write(studio: Client) -> None:
    before = await openings_for(studio, an_install("two"))
    await hold(studio, "one", minutes=5)
    during = await openings_for(studio, an_install("two"))
    assert during != before
    pass_minutes(studio, 6)
    after = await openings_for(studio, an_install("two"))
    assert [each["visit"] for each in after] == [each["visit"] for each in before]


async def test_a_name_that_holds_a_place_is_taken(studio: Client) -> None:
    await hold(studio, "one")
    other = an_install("one", windows=(a_window("9:00", "18:00"),))
    answer = await studio.post("/v1/bookings", json={"request": other})
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/already-there"
    assert (await studio.post("/v1/openings", json={"request": other})).status_code == 422


async def test_a_hold_that_the_house_can_keep_no_more_is_refused_with_others(
    studio: Client,
) -> None:
    held = await hold(studio, "one")
    chair = held["opening"]["chair"]
    window = held["opening"]["visit"]["window"]
    closure = {"id": "leak", "window": window, "chair": chair, "reason": "the pump leaks"}
    ok(await studio.post(f"/v1/chairs/{chair}/closures", json=closure))
    refused = await studio.post("/v1/holds/one/booking")
    assert refused.status_code == 409
    fresh = refused.json()["openings"]
    assert fresh
    ok(await studio.delete("/v1/holds/one"))
    told = {"request": an_install("one"), "opening": fresh[0]}
    assert (await studio.post("/v1/bookings", json=told)).status_code == 201


async def test_others_are_booked_beside_a_hold_and_everyone_gets_her_break(
    studio: Client,
) -> None:
    await hold(studio, "one")
    for name in ("two", "three", "four"):
        await book(studio, name)
    ok(await studio.post("/v1/holds/one/booking"))
    day = ok(await studio.get(f"/v1/days/{DAY}"))
    assert len(day["visits"]) == 4
    assert day["findings"] == []


async def test_a_hold_with_a_break_inside_is_kept_as_it_is(studio: Client) -> None:
    # Eight hours of braiding by one pair of hands: her meal lies inside the visit.
    long = {"phases": (a_phase(minutes=8 * 60, breakable=True),), "max_assistants": 0}
    held = await hold(studio, "one", **long)
    inside = [each for each in held["opening"]["breaks"] if each["inside"] == "one"]
    assert len(inside) == 1
    await book(studio, "two")
    day = ok(await studio.get(f"/v1/days/{DAY}"))
    assert inside[0] in [each for person in day["staff"] for each in person["breaks"]]
    assert day["findings"] == []
    ok(await studio.post("/v1/holds/one/booking"))
    day = ok(await studio.get(f"/v1/days/{DAY}"))
    assert inside[0] in [each for person in day["staff"] for each in person["breaks"]]
    assert day["findings"] == []


async def test_no_plan_is_published_over_a_held_place(studio: Client) -> None:
    await hold(studio, "one")
    order = {"first": str(DAY), "last": str(DAY), "seconds": 2}
    refused = await studio.post("/v1/plans", json=order | {"publish": True})
    assert refused.status_code == 409
    assert "until 12:10 UTC" in refused.json()["detail"]
    run = ok(await studio.post("/v1/plans", json=order))
    assert [visit["visit"] for visit in run["result"]["plan"]["visits"]] == ["one"]
    pass_minutes(studio, 10)
    ok(await studio.post("/v1/plans", json=order | {"publish": True}))


async def test_no_repair_is_accepted_over_a_held_place(studio: Client) -> None:
    await hold(studio, "one")
    events = [{"kind": "walk-in", "request": an_install("door")}]
    run = ok(
        await studio.post("/v1/repairs", json={"events": events, "last": str(DAY), "seconds": 2})
    )
    refused = await studio.post(f"/v1/repairs/{run['id']}/acceptance")
    assert refused.status_code == 409
    pass_minutes(studio, 10)
    # The hold was part of the book that the repair was made from.
    assert (await studio.post(f"/v1/repairs/{run['id']}/acceptance")).status_code == 409
    assert (await studio.get("/v1/bookings/one")).status_code == 404


async def test_a_hold_and_its_booking_that_are_told_twice_are_made_once(studio: Client) -> None:
    request = an_install("one")
    opening = (await openings_for(studio, request))[0]
    told = {"request": request, "opening": opening}
    for path, document in (("/v1/holds", told), ("/v1/holds/one/booking", None)):
        headers = {"Idempotency-Key": f'"{path}"'}
        first, again = [await studio.post(path, json=document, headers=headers) for _ in range(2)]
        assert first.status_code == again.status_code == 201
        assert first.json() == again.json()
