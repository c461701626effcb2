"""Who waits for a place, in fair order, and who could take a gap."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from tests.api.studio_kit import NOW, Client, an_install, book, ok, openings_for
from tests.builders import a_window

pytestmark = pytest.mark.anyio
MORNING = {"windows": (a_window("9:00", "12:15"),), "max_assistants": 0}


def pass_minutes(client: Client, minutes: float) -> None:
    client.app.state.desk.openings.clock.instant = NOW + timedelta(minutes=minutes)


async def waits(client: Client, name: str, **changes: Any) -> None:
    request = an_install(name, **{**MORNING, **changes})
    ok(await client.post("/v1/bookings", json={"request": request}))


async def listed(client: Client, **params: Any) -> list[dict[str, Any]]:
    items: list[dict[str, Any]] = ok(await client.get("/v1/waiting-list", params=params))["items"]
    return items


async def takers(client: Client, freed: str) -> dict[str, Any]:
    told: dict[str, Any] = ok(await client.post("/v1/gap-takers", json={"freed": freed}))
    return told


@pytest.fixture
async def full(studio: Client) -> Client:
    """Both leads are taken until a quarter past twelve; zoe, amy and bea wait for that morning."""
    for number in (1, 2):
        await book(studio, f"placed-{number}", required_lead=f"lead-{number}", **MORNING)
    await waits(studio, "zoe")
    pass_minutes(studio, 20)
    await waits(studio, "bea")
    await waits(studio, "amy")
    return studio


async def test_first_asked_comes_first_and_names_decide_within_a_minute(full: Client) -> None:
    items = await listed(full)
    assert [(each["place"], each["visit"]) for each in items] == [
        (1, "zoe"),
        (2, "amy"),
        (3, "bea"),
    ]
    assert [each["why"] for each in items] == [
        "asked on 2026-11-30 at 12:00, before all others",
        "asked on 2026-11-30 at 12:20, 20 minutes after zoe",
        "asked on 2026-11-30 at 12:20, as amy did; the order of their names decides",
    ]


async def test_a_short_list_says_how_many_wait(full: Client) -> None:
    answer = ok(await full.get("/v1/waiting-list", params={"limit": 1}))
    assert [each["visit"] for each in answer["items"]] == ["zoe"]
    assert answer["total"] == 3


async def test_who_has_a_place_or_whose_time_is_past_waits_no_more(full: Client) -> None:
    ok(await full.delete("/v1/bookings/zoe"))
    assert [each["visit"] for each in await listed(full)] == ["amy", "bea"]
    pass_minutes(full, 24 * 60 + 15)
    assert await listed(full) == []


@pytest.mark.parametrize("called_off", [False, True])
async def test_a_gap_is_offered_in_the_order_of_the_list(full: Client, called_off: bool) -> None:
    freed = ok(await full.get("/v1/bookings/placed-1"))
    if called_off:
        ok(await full.delete("/v1/bookings/placed-1"))
    told = await takers(full, "placed-1")
    assert [each["request"] for each in told["takers"]] == ["zoe", "amy", "bea"]
    assert told["gap"] == freed["placed"]["window"]
    assert all(each["only_now"] for each in told["takers"])
    left = [each["after_others"] is not None for each in told["takers"]]
    assert left == [True, False, False]


async def test_somebody_whom_the_gap_does_not_suit_waits_on(full: Client) -> None:
    await waits(full, "long", phases=an_install("x")["phases"] * 2, windows=MORNING["windows"])
    told = await takers(full, "placed-1")
    assert told["without_place"] == ["long"]


async def test_an_offer_holds_the_place_until_she_answers(full: Client) -> None:
    ok(await full.delete("/v1/bookings/placed-1"))
    opening = (await takers(full, "placed-1"))["takers"][0]["opening"]
    made = await full.post("/v1/waiting-list/zoe/offers", json={"opening": opening})
    assert made.status_code == 201
    assert made.headers["location"] == "/v1/holds/zoe"
    assert [each["state"] for each in (await listed(full))[0]["offers"]] == ["open"]
    assert await openings_for(full, an_install("new", **MORNING)) == []
    # Who holds a place is not asked again.
    assert (await takers(full, "placed-1"))["takers"] == []
    record = ok(await full.post("/v1/holds/zoe/booking"))
    assert record["status"] == "CONFIRMED"
    assert record["created_at"] == "2026-11-30T12:00:00Z"
    assert [each["visit"] for each in await listed(full)] == ["amy", "bea"]


@pytest.mark.parametrize("answer", ["declined", "lapsed"])
async def test_who_does_not_take_an_offer_keeps_her_place(full: Client, answer: str) -> None:
    ok(await full.delete("/v1/bookings/placed-1"))
    opening = (await takers(full, "placed-1"))["takers"][0]["opening"]
    ok(await full.post("/v1/waiting-list/zoe/offers", json={"opening": opening, "minutes": 5}))
    if answer == "declined":
        ok(await full.delete("/v1/holds/zoe"))
    else:
        pass_minutes(full, 25)
    first = (await listed(full))[0]
    assert (first["visit"], first["offers"][0]["state"]) == ("zoe", answer)
    assert first["why"].endswith("; passed over 1 offer, which costs her nothing")
    told = await takers(full, "placed-1")
    assert [each["request"] for each in told["takers"]] == ["zoe", "amy", "bea"]


async def test_an_offer_is_for_somebody_who_waits(full: Client) -> None:
    opening = (await takers(full, "placed-1"))["takers"][0]["opening"]
    for name, status in (("placed-2", 409), ("nobody", 404)):
        mine = {**opening, "visit": {**opening["visit"], "visit": name}}
        answer = await full.post(f"/v1/waiting-list/{name}/offers", json={"opening": mine})
        assert answer.status_code == status
    answer = await full.post("/v1/waiting-list/amy/offers", json={"opening": opening})
    assert answer.json()["errors"][0]["pointer"] == "/opening/visit/visit"


async def test_an_offer_of_a_taken_place_is_refused(full: Client) -> None:
    opening = (await takers(full, "placed-1"))["takers"][0]["opening"]
    answer = await full.post("/v1/waiting-list/zoe/offers", json={"opening": opening})
    assert answer.status_code == 409
    assert (await listed(full))[0]["offers"] == []


async def test_who_calls_off_while_a_place_is_held_for_her_gives_it_back(full: Client) -> None:
    ok(await full.delete("/v1/bookings/placed-1"))
    opening = (await takers(full, "placed-1"))["takers"][0]["opening"]
    ok(await full.post("/v1/waiting-list/zoe/offers", json={"opening": opening}))
    ok(await full.delete("/v1/bookings/zoe"))
    assert (await full.get("/v1/holds/zoe")).status_code == 404
    assert [each["request"] for each in (await takers(full, "placed-1"))["takers"]] == [
        "amy",
        "bea",
    ]


async def test_a_gap_that_nobody_leaves_is_refused(full: Client) -> None:
    assert (await full.post("/v1/gap-takers", json={"freed": "nobody"})).status_code == 404
    assert (await full.post("/v1/gap-takers", json={"freed": "zoe"})).status_code == 409
