"""Repairs of the book on record: looked at, accepted in one go, or refused."""

from __future__ import annotations

from typing import Any

import pytest

from tests.api.studio_kit import Client, an_install, book, ok
from tests.builders import DAY, a_window, at

pytestmark = pytest.mark.anyio

QUICK = {"seconds": 3}


def set_clock(studio: Client, reading: str) -> None:
    studio.app.state.desk.repairs.clock.instant = at(reading)


async def repaired(studio: Client, *events: dict[str, Any], **order: Any) -> dict[str, Any]:
    answer = await studio.post("/v1/repairs", json={"events": list(events), **QUICK, **order})
    assert answer.status_code == 201, answer.text
    run: dict[str, Any] = answer.json()
    assert ok(await studio.get(answer.headers["location"])) == run
    return run


async def accepted(studio: Client, run: dict[str, Any]) -> dict[str, Any]:
    told: dict[str, Any] = ok(await studio.post(f"/v1/repairs/{run['id']}/acceptance"))
    return told


async def day_of(studio: Client) -> dict[str, Any]:
    told: dict[str, Any] = ok(await studio.get(f"/v1/days/{DAY}"))
    return told


def late(reading: str, visit: str = "one") -> dict[str, Any]:
    return {"kind": "late-arrival", "visit": visit, "arrives": at(reading).isoformat()}


def sick(staff: str, reading: str) -> dict[str, Any]:
    return {"kind": "sick", "staff": staff, "start": at(reading).isoformat()}


async def test_a_repair_that_is_looked_at_changes_nothing(studio: Client) -> None:
    await book(studio, "one", windows=(a_window("9:00", "18:00"),))
    before = await day_of(studio)
    set_clock(studio, "8:50")
    run = await repaired(studio, late("9:40"))
    assert run["state"] == "proposed"
    assert "start" in {each["what"] for each in run["differences"]}
    assert all(each["say"] and each["tell"] for each in run["differences"])
    # Somebody helps her all the while already: what is lost on her finish stays lost.
    assert [each["broken"] for each in run["renegotiate"]] == [["latest-finish"]]
    assert await day_of(studio) == before


async def test_an_accepted_repair_is_in_the_book_with_what_it_promises(studio: Client) -> None:
    await book(studio, "one", windows=(a_window("9:00", "18:00"),))
    set_clock(studio, "8:50")
    run = await repaired(studio, late("9:40"))
    told = await accepted(studio, run)
    assert told == run | {"state": "accepted"}
    (visit,) = (await day_of(studio))["visits"]
    (planned,) = run["plan"]["visits"]
    assert (visit["window"], visit["chair"]) == (planned["window"], planned["chair"])
    one = ok(await studio.get("/v1/bookings/one"))
    assert one["status"] == "CONFIRMED"
    assert one["promise"]["start"] == planned["window"]["start"]
    # Doing it twice changes nothing.
    assert await accepted(studio, run) == told
    assert ok(await studio.get("/v1/bookings/one")) == one


async def test_a_repair_of_an_older_book_is_not_accepted(studio: Client) -> None:
    await book(studio, "one", windows=(a_window("9:00", "18:00"),))
    set_clock(studio, "8:50")
    run = await repaired(studio, late("9:40"))
    await book(studio, "two", windows=(a_window("9:00", "18:00"),))
    before = await day_of(studio)
    answer = await studio.post(f"/v1/repairs/{run['id']}/acceptance")
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/book-changed"
    assert await day_of(studio) == before
    assert ok(await studio.get(f"/v1/repairs/{run['id']}"))["state"] == "proposed"


async def test_where_every_promise_holds_it_may_be_accepted_at_once(studio: Client) -> None:
    await book(studio, "one")
    set_clock(studio, "8:50")
    run = await repaired(studio, {"kind": "no-show", "visit": "one"}, accept=True)
    assert run["state"] == "accepted"
    assert ok(await studio.get("/v1/bookings/one"))["status"] == "CANCELLED"
    day = await day_of(studio)
    assert (day["visits"], day["findings"]) == ([], [])


async def test_a_broken_promise_waits_until_somebody_accepts_it(studio: Client) -> None:
    # Both leads are at work from nine; when one falls sick, her client can only come later.
    for name in ("one", "two"):
        await book(studio, name, windows=(a_window("9:00", "12:30"),))
    set_clock(studio, "8:50")
    lead = ok(await studio.get("/v1/bookings/one"))["placed"]["lead"]
    run = await repaired(studio, sick(lead, "8:50"), accept=True)
    assert run["state"] == "proposed"
    (owed,) = run["renegotiate"]
    assert ok(await studio.get(f"/v1/bookings/{owed['visit']}"))["status"] == "CONFIRMED"
    await accepted(studio, run)
    shifts = ok(await studio.get(f"/v1/staff/{lead}/shifts"))["items"]
    assert shifts == []
    kept = ok(await studio.get(f"/v1/bookings/{owed['visit']}"))
    if owed["proposed"] is None:
        assert (kept["status"], kept["placed"], kept["promise"]) == ("TENTATIVE", None, None)
    else:
        assert kept["promise"] == owed["proposed"]
    assert [each for each in (await day_of(studio))["findings"] if each["hard"]] == []


async def test_who_is_at_the_door_gets_a_booking_once_it_is_accepted(studio: Client) -> None:
    await book(studio, "one")
    set_clock(studio, "9:30")
    walk_in = {"kind": "walk-in", "request": an_install("door")}
    run = await repaired(studio, walk_in)
    assert (await studio.get("/v1/bookings/door")).status_code == 404
    await accepted(studio, run)
    door = ok(await studio.get("/v1/bookings/door"))
    assert door["status"] == "CONFIRMED"
    assert at("9:30").isoformat() <= door["placed"]["window"]["start"].replace("Z", "+00:00")
    again = await studio.post("/v1/repairs", json={"events": [walk_in]})
    assert again.json()["errors"][0]["pointer"] == "/events/0/request/id"


async def test_an_install_on_a_chair_that_breaks_goes_on_elsewhere(studio: Client) -> None:
    made = await book(studio, "one", windows=(a_window("9:00", "18:00"),))
    chair = made["placed"]["chair"]
    set_clock(studio, "10:00")
    broken = {"kind": "broken-chair", "chair": chair, "start": at("10:00").isoformat()}
    run = await repaired(studio, broken)
    await accepted(studio, run)
    (closure,) = ok(await studio.get(f"/v1/chairs/{chair}/closures"))["items"]
    assert closure["reason"] == "broken"
    day = await day_of(studio)
    assert {visit["visit"]: visit["chair"] == chair for visit in day["visits"]} == {
        "one": True,
        "one-rest": False,
    }
    assert [each for each in day["findings"] if each["hard"]] == []
    assert ok(await studio.get("/v1/bookings/one-rest"))["status"] == "CONFIRMED"


async def test_a_day_may_be_repaired_again_and_again(studio: Client) -> None:
    made = await book(studio, "one", windows=(a_window("9:00", "18:00"),))
    lead = made["placed"]["lead"]
    set_clock(studio, "10:00")
    await accepted(studio, await repaired(studio, sick(lead, "10:00")))
    day = await day_of(studio)
    assert [each for each in day["findings"] if each["hard"]] == []
    assert {visit["visit"] for visit in day["visits"]} >= {"one"}
    set_clock(studio, "10:30")
    other = "lead-2" if lead == "lead-1" else "lead-1"
    overrun = {"kind": "overrun", "visit": "one", "minutes": 20}
    run = await repaired(studio, overrun)
    assert run["plan"] is not None
    await accepted(studio, run)
    assert other in {each["staff"] for each in (await day_of(studio))["staff"] if each["duties"]}


@pytest.mark.parametrize(
    ("order", "pointer"),
    [
        ({"events": []}, "/events"),
        ({"events": [late("9:40", "nobody")]}, "/events/0/visit"),
        ({"events": [late("9:40"), sick("nobody", "9:00")]}, "/events/1/staff"),
        ({"events": [sick("lead-1", "9:00") | {"until": at("8:00").isoformat()}]}, "/events/0"),
        ({"events": [{"kind": "overrun", "visit": "one", "minutes": 0}]}, "/events/0/minutes"),
        ({"events": [{"kind": "flood"}]}, "/events/0"),
        ({"events": [late("9:40")], "last": "2026-11-30"}, "/last"),
        ({"events": [late("9:40")], "last": "2026-12-20"}, "/last"),
        ({"events": [late("9:40")], "seconds": 600}, "/seconds"),
        (
            {"events": [{"kind": "walk-in", "request": an_install("x", required_lead="ghost")}]},
            "/events/0/request/required_lead",
        ),
        (
            {
                "events": [
                    {
                        "kind": "walk-in",
                        "request": an_install("x", windows=(a_window("6:00", "7:00"),)),
                    }
                ]
            },
            "/events/0/request/windows",
        ),
    ],
)
async def test_an_event_that_makes_no_sense_is_refused_by_its_field(
    studio: Client, order: dict[str, Any], pointer: str
) -> None:
    await book(studio, "one")
    set_clock(studio, "8:50")
    answer = await studio.post("/v1/repairs", json=order)
    assert answer.status_code == 422, answer.text
    named = [error["pointer"] for error in answer.json()["errors"]]
    assert any(each.startswith(pointer) for each in named), named


@pytest.mark.parametrize("method", ["GET /v1/repairs/x", "POST /v1/repairs/x/acceptance"])
async def test_a_repair_nobody_made_is_not_there(studio: Client, method: str) -> None:
    answer = await studio.request(*method.split())
    assert answer.status_code == 404
