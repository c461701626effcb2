"""From a question to a promise, and what becomes of it."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from tests.api.studio_kit import Client, an_install, body, book, ok, openings_for, tomorrow
from tests.builders import DAY, a_window

pytestmark = pytest.mark.anyio


async def _day(client: Client, day: object = DAY) -> dict[str, Any]:
    seen: dict[str, Any] = ok(await client.get(f"/v1/days/{day}"))
    return seen


async def test_an_opening_becomes_a_promise_with_its_place(studio: Client) -> None:
    request = an_install("one")
    opening = (await openings_for(studio, request))[0]
    made = await studio.post("/v1/bookings", json={"request": request, "opening": opening})
    assert made.status_code == 201
    assert made.headers["location"] == "/v1/bookings/one"
    record = made.json()
    assert record["status"] == "CONFIRMED"
    assert record["placed"] == opening["visit"]
    assert record["promise"]["start"] == opening["start"]
    assert record["promise"]["latest_finish"] == opening["finish"]
    assert ok(await studio.get("/v1/bookings/one")) == record
    day = await _day(studio)
    assert [visit["visit"] for visit in day["visits"]] == ["one"]
    assert day["findings"] == []


async def test_looking_for_openings_changes_nothing(studio: Client) -> None:
    before = await _day(studio)
    assert await openings_for(studio, an_install("one")) == await openings_for(
        studio, an_install("one")
    )
    assert await _day(studio) == before


async def test_everyone_gets_her_break_on_a_busy_day(studio: Client) -> None:
    for name in ("one", "two", "three", "four"):
        await book(studio, name)
    day = await _day(studio)
    assert len(day["visits"]) == 4
    assert day["findings"] == []
    assert all(len(person["breaks"]) == 1 for person in day["staff"])


async def test_an_opening_is_sold_once(studio: Client) -> None:
    first, second = an_install("one"), an_install("two")
    opening = (await openings_for(studio, first))[0]
    theirs = copy.deepcopy(opening)
    theirs["visit"]["visit"] = "two"
    ok(await studio.post("/v1/bookings", json={"request": first, "opening": opening}))
    late = await studio.post("/v1/bookings", json={"request": second, "opening": theirs})
    assert late.status_code == 409
    problem = late.json()
    assert problem["type"] == "/problems/opening-gone"
    assert late.headers["content-type"] == "application/problem+json"
    assert (await studio.get("/v1/bookings/two")).status_code == 404
    fresh = problem["openings"][0]
    ok(await studio.post("/v1/bookings", json={"request": second, "opening": fresh}))


@pytest.mark.parametrize(
    ("what", "path", "value"),
    [
        ("a chair that is not there", ("visit", "chair"), "chair-9"),
        ("a lead who is an assistant", ("visit", "lead"), "assistant-1"),
        ("work that takes no time", ("visit", "phases", 0, "window"), ("9:00", "9:05")),
        ("a visit before opening", ("visit", "window"), ("8:00", "12:15")),
        ("a performer nobody knows", ("visit", "phases", 0, "performer"), "nobody"),
    ],
)
async def test_an_opening_made_up_is_refused(
    studio: Client, what: str, path: tuple[str | int, ...], value: object
) -> None:
    request = an_install("one")
    opening = (await openings_for(studio, request))[0]
    here: Any = opening
    for part in path[:-1]:
        here = here[part]
    here[path[-1]] = body(a_window(*value)) if isinstance(value, tuple) else value
    answer = await studio.post("/v1/bookings", json={"request": request, "opening": opening})
    assert answer.status_code == 409, what
    assert (await _day(studio))["visits"] == []


async def test_an_opening_may_not_move_a_strangers_break(studio: Client) -> None:
    request = an_install("one", max_assistants=0)
    opening = (await openings_for(studio, request))[0]
    stranger = {"lead-1": "lead-2", "lead-2": "lead-1"}[opening["lead"]]
    opening["breaks"].append(
        {"staff": stranger, "kind": "meal", "window": body(a_window("17:00", "17:30"))}
    )
    answer = await studio.post("/v1/bookings", json={"request": request, "opening": opening})
    assert answer.status_code == 409
    assert stranger in answer.json()["detail"]


async def test_an_opening_outside_the_clients_windows_is_refused(studio: Client) -> None:
    opening = (await openings_for(studio, an_install("one")))[0]
    evening = an_install("one", windows=(a_window("18:00", "19:00"),))
    answer = await studio.post("/v1/bookings", json={"request": evening, "opening": opening})
    assert answer.status_code == 409


async def test_a_name_is_booked_once(studio: Client) -> None:
    await book(studio, "one")
    request = an_install("one")
    answer = await studio.post("/v1/bookings", json={"request": request})
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/already-there"


async def test_a_request_alone_waits_and_takes_nothing(studio: Client) -> None:
    kept = ok(await studio.post("/v1/bookings", json={"request": an_install("one")}))
    assert (kept["status"], kept["placed"], kept["promise"]) == ("TENTATIVE", None, None)
    day = await _day(studio)
    assert day["waiting"] == ["one"]
    assert day["visits"] == []


async def test_calling_off_gives_everything_back(studio: Client) -> None:
    before = await openings_for(studio, an_install("two"))
    await book(studio, "one")
    gone = ok(await studio.delete("/v1/bookings/one"))
    assert gone["status"] == "CANCELLED"
    assert ok(await studio.delete("/v1/bookings/one")) == gone
    after = await openings_for(studio, an_install("two"))
    assert [each["visit"] for each in after] == [each["visit"] for each in before]
    answer = await studio.patch("/v1/bookings/one", json={"client": "Somebody"})
    assert answer.status_code == 409


async def test_a_booking_moves_to_another_opening_or_stays(studio: Client) -> None:
    made = await book(studio, "one")
    await book(studio, "two")
    ok(await studio.delete("/v1/bookings/two"))
    request = an_install("other", windows=(a_window("13:00", "19:00"),))
    later = (await openings_for(studio, request))[0]
    later["visit"]["visit"] = "one"
    moved = ok(await studio.patch("/v1/bookings/one", json={"opening": later}))
    assert moved["placed"]["window"] != made["placed"]["window"]
    assert moved["promise"]["start"] == later["start"]
    assert moved["promise"]["latest_finish"] == later["finish"]
    day = await _day(studio)
    assert [visit["visit"] for visit in day["visits"]] == ["one"]
    assert day["findings"] == []

    elsewhere = copy.deepcopy(later)
    elsewhere["visit"]["chair"] = "chair-9"
    refused = await studio.patch("/v1/bookings/one", json={"opening": elsewhere})
    assert refused.status_code == 409
    assert ok(await studio.get("/v1/bookings/one")) == moved


async def test_a_waiting_booking_takes_an_opening(studio: Client) -> None:
    ok(await studio.post("/v1/bookings", json={"request": an_install("one")}))
    opening = (await openings_for(studio, an_install("one")))[0]
    placed = ok(await studio.patch("/v1/bookings/one", json={"opening": opening, "tolerance": 30}))
    assert placed["status"] == "CONFIRMED"
    assert placed["promise"]["tolerance"] == 30


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"windows": [body(a_window("9:00", "12:00"))]}, "/windows"),
        ({"latest_finish": "2026-12-01T09:05:00Z"}, "/latest_finish"),
        ({}, ""),
    ],
)
async def test_a_change_that_does_not_fit_a_promise_is_refused(
    studio: Client, change: dict[str, Any], pointer: str
) -> None:
    made = await book(studio, "one")
    answer = await studio.patch("/v1/bookings/one", json=change)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer
    assert ok(await studio.get("/v1/bookings/one")) == made


async def test_a_waiting_booking_has_no_promise_to_change(studio: Client) -> None:
    ok(await studio.post("/v1/bookings", json={"request": an_install("one")}))
    answer = await studio.patch("/v1/bookings/one", json={"tolerance": 15})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/tolerance"


async def test_bookings_are_listed_by_day_and_status(studio: Client) -> None:
    await book(studio, "one")
    ok(await studio.post("/v1/bookings", json={"request": an_install("two")}))

    async def listed(**params: object) -> list[str]:
        page = ok(await studio.get("/v1/bookings", params=params))
        return [record["id"] for record in page["items"]]

    assert await listed(day=DAY) == ["one", "two"]
    assert await listed(day=DAY, status="TENTATIVE") == ["two"]
    assert await listed(day=tomorrow()) == []
    assert await listed(limit=1, after="one") == ["two"]


async def test_what_is_over_is_not_offered(studio: Client) -> None:
    past = an_install("one", windows=(a_window("9:00", "12:00", day=DAY.replace(month=11)),))
    answer = await studio.post("/v1/openings", json={"request": past})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/request/windows"


async def test_a_day_nobody_is_in_has_no_openings_and_says_why(studio: Client) -> None:
    request = an_install("one", windows=(a_window("9:00", "19:00", day=tomorrow()),))
    answer = ok(await studio.post("/v1/openings", json={"request": request}))
    assert answer["openings"] == []
    assert "shift" in answer["obstacles"][0]["sentence"]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"preferred_lead": "nobody"}, "/request/preferred_lead"),
        ({"required_lead": "assistant-1"}, "/request/required_lead"),
        ({"refused_leads": ["nobody"]}, "/request/refused_leads/0"),
    ],
)
@pytest.mark.parametrize("path", ["/v1/openings", "/v1/bookings"])
async def test_people_nobody_knows_are_named_by_field(
    studio: Client, path: str, change: dict[str, Any], pointer: str
) -> None:
    answer = await studio.post(path, json={"request": an_install("one") | change})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer


async def test_a_style_that_makes_no_sense_is_named_by_field(studio: Client) -> None:
    style = {"name": "X", "technique": "unheard-of", "size": "medium", "length_cm": 60}
    request = an_install("one") | {"phases": [], "take_off": {"style": style}}
    for path in ("/v1/openings", "/v1/bookings"):
        answer = await studio.post(path, json={"request": request})
        assert answer.status_code == 422
        assert answer.json()["errors"][0]["pointer"] == "/request/take_off/style/technique"


async def test_times_in_another_offset_mean_the_same(studio: Client) -> None:
    request = an_install("one", windows=(a_window("9:00", "14:00"),))
    tokyo = copy.deepcopy(request)
    tokyo["windows"] = [{"start": "2026-12-01T18:00:00+09:00", "end": "2026-12-01T23:00:00+09:00"}]
    assert await openings_for(studio, tokyo) == await openings_for(studio, request)


async def test_two_days_are_two_books(studio: Client) -> None:
    await book(studio, "one")
    assert (await _day(studio, tomorrow()))["visits"] == []
