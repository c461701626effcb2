"""The clock of a visit: four moments, who may tap them, and what is learned."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from api.services.callers import Role
from tests.api.http.test_ledger import a_styled_visit
from tests.api.studio_kit import Client, a_small_service, book, furnish, ok
from tests.builders import DAY, at

pytestmark = pytest.mark.anyio


def clock_says(client: Client, clock: str) -> None:
    client.app.state.desk.clocks.clock.instant = at(clock) + timedelta(seconds=31)


async def tap(client: Client, moment: str, clock: str, visit: str = "one") -> Any:
    clock_says(client, "19:00")
    path = f"/v1/bookings/{visit}/clock/{moment}"
    return await client.put(path, json={"at": at(clock).isoformat()})


async def test_a_tap_is_now_on_the_minute(studio: Client) -> None:
    await book(studio, "one")
    clock_says(studio, "9:07")
    told = ok(await studio.put("/v1/bookings/one/clock/started", json={}))
    assert told["started"] == "2026-12-01T09:07:00Z"
    assert ok(await studio.get("/v1/bookings/one/clock")) == told
    gone = ok(await studio.delete("/v1/bookings/one/clock/started"))
    assert gone["started"] is None


async def test_moments_follow_each_other_and_are_not_to_come(studio: Client) -> None:
    await book(studio, "one")
    ok(await tap(studio, "started", "9:30"))
    early = await tap(studio, "finished", "9:10")
    assert (early.status_code, early.json()["errors"][0]["pointer"]) == (422, "/at")
    clock_says(studio, "9:40")
    late = {"at": at("10:00").isoformat()}
    assert (await studio.put("/v1/bookings/one/clock/braiding", json=late)).status_code == 422
    assert (await studio.put("/v1/bookings/one/clock/unheard-of", json={})).status_code == 422


async def test_what_has_no_place_is_not_clocked(studio: Client) -> None:
    await book(studio, "one")
    ok(await studio.delete("/v1/bookings/one"))
    assert (await tap(studio, "started", "9:30")).status_code == 409
    assert (await tap(studio, "started", "9:30", "nobody")).status_code == 404


async def test_the_clock_writes_the_finished_visit_and_puts_it_right(studio: Client) -> None:
    made = await a_styled_visit(studio)
    placed, lead = made["placed"], made["placed"]["lead"]
    braiding = next(phase for phase in placed["phases"] if phase["kind"] == "braiding")
    begun, ended = braiding["window"]["start"][11:16], braiding["window"]["end"][11:16]
    path = f"/v1/staff/{lead}/finished-visits"
    for moment, clock in (("started", "9:00"), ("braiding", begun), ("braided", ended)):
        ok(await tap(studio, moment, clock))
    assert ok(await studio.get(path))["items"] == []
    ok(await tap(studio, "finished", "18:00"))
    (visit,) = ok(await studio.get(path))["items"]
    booked = next(p for p in made["request"]["phases"] if p["kind"] == "braiding")["minutes"]
    helped = sum(minutes_of(each["window"]) for each in braiding["help"])
    assert (visit["booking"], visit["technique"]) == ("one", "knotless")
    assert (visit["booked"], visit["help_minutes"]) == (booked, helped)
    assert visit["actual"] == minutes_of(braiding["window"])
    assert ok(await studio.get(f"/v1/staff/{lead}/pace"))["overall"]["visits"] == 1
    later = at(ended) + timedelta(minutes=10)
    ok(await studio.put("/v1/bookings/one/clock/braided", json={"at": later.isoformat()}))
    (again,) = ok(await studio.get(path))["items"]
    assert again["actual"] == visit["actual"] + 10
    ok(await studio.delete("/v1/bookings/one/clock/finished"))
    assert ok(await studio.get(path))["items"] == []


async def test_what_was_written_down_by_hand_stays(studio: Client) -> None:
    made = await a_styled_visit(studio)
    path = f"/v1/staff/{made['placed']['lead']}/finished-visits"
    record = {"id": "by-hand", "day": str(DAY), "technique": "knotless", "booked": 100}
    clock_says(studio, "19:00")
    ok(await studio.post(path, json=record | {"actual": 120, "booking": "one"}))
    for moment, clock in (("braiding", "10:00"), ("braided", "12:00"), ("finished", "12:30")):
        ok(await tap(studio, moment, clock))
    (visit,) = ok(await studio.get(path))["items"]
    assert visit["id"] == "by-hand"


def minutes_of(window: dict[str, str]) -> int:
    begin, end = (int(text[11:13]) * 60 + int(text[14:16]) for text in window.values())
    return end - begin


async def test_a_stylist_taps_visits_of_her_own_alone(tmp_path: Path) -> None:
    async with a_small_service(tmp_path, tokens="required") as client:
        tokens = client.app.state.desk.tokens
        owner = await tokens.make("owner", Role.OWNER, staff=None, days=1)
        client.headers["Authorization"] = f"Bearer {owner}"
        await furnish(client)
        made = await book(client, "one", max_assistants=0)
        lead = made["placed"]["lead"]
        other = "lead-2" if lead == "lead-1" else "lead-1"
        answers = {}
        for person in (lead, other):
            text = await tokens.make(person, Role.STYLIST, staff=person, days=1)
            client.headers["Authorization"] = f"Bearer {text}"
            clock_says(client, "9:30")
            answers[person] = [
                (await client.put("/v1/bookings/one/clock/started", json={})).status_code,
                (await client.get("/v1/bookings/one/hair")).status_code,
                (await client.get("/v1/reports/pairing", params={"week": "2026-W49"})).status_code,
            ]
        assert answers == {lead: [200, 200, 403], other: [403, 403, 403]}
