"""Places for people who come together and for a series, and their sale: all of them or none."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest

from api.services.series import weeks_later
from tests.api.studio_kit import Client, an_install, body, book, ok
from tests.builders import DAY, ZONE, a_phase, a_shared_phase, a_shift, a_window

pytestmark = pytest.mark.anyio
FRIENDS = ("amma", "bea")
LATER = DAY + timedelta(weeks=7)


def two(**changes: Any) -> list[dict[str, Any]]:
    return [an_install(name, max_assistants=0, **changes) for name in FRIENDS]


def a_set(requests: list[dict[str, Any]], openings: list[dict[str, Any]]) -> dict[str, Any]:
    pairs = zip(requests, openings, strict=True)
    return {"bookings": [{"request": request, "opening": opening} for request, opening in pairs]}


async def group(client: Client, **question: Any) -> dict[str, Any]:
    told = {"requests": two(), **question}
    answer: dict[str, Any] = ok(await client.post("/v1/group-openings", json=told))
    return answer


async def findings(client: Client, day: object = DAY) -> Any:
    return ok(await client.get(f"/v1/days/{day}"))["findings"]


async def test_two_friends_sit_side_by_side_and_are_booked_together(studio: Client) -> None:
    found = (await group(studio))["openings"][0]
    mine, hers = found["openings"]
    assert mine["start"] == hers["start"] == found["start"]
    assert mine["chair"] != hers["chair"]
    assert mine["lead"] != hers["lead"]
    made = await studio.post("/v1/booking-sets", json=a_set(two(), found["openings"]))
    assert made.status_code == 201
    assert [each["status"] for each in made.json()["bookings"]] == ["CONFIRMED"] * 2
    for record in made.json()["bookings"]:
        assert ok(await studio.get(f"/v1/bookings/{record['id']}")) == record
    assert await findings(studio) == []


async def test_a_child_follows_her_mother(studio: Client) -> None:
    answer = await group(studio, manner="one-after-another", most_wait=30)
    mother, child = answer["openings"][0]["openings"]
    gap = datetime.fromisoformat(child["start"]) - datetime.fromisoformat(mother["finish"])
    assert timedelta() <= gap <= timedelta(minutes=30)
    ok(await studio.post("/v1/booking-sets", json=a_set(two(), [mother, child])))
    assert await findings(studio) == []


async def test_a_group_without_a_place_hears_who_would_find_none_alone(studio: Client) -> None:
    requests = [an_install("amma"), an_install("bea", windows=(a_window("9:00", "10:00"),))]
    answer = await group(studio, requests=requests)
    assert answer == {"openings": [], "without_place": ["bea"]}


async def test_a_fault_of_a_group_names_whose_it_is(studio: Client) -> None:
    requests = [an_install("amma"), an_install("bea", required_lead="nobody")]
    answer = await studio.post("/v1/group-openings", json={"requests": requests})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/requests/1/required_lead"


async def test_where_one_of_a_set_cannot_be_had_none_is_booked(studio: Client) -> None:
    found = (await group(studio))["openings"][0]["openings"]
    taken = {**found[1], "visit": {**found[1]["visit"], "visit": "first"}}
    first = {"request": an_install("first", max_assistants=0), "opening": taken}
    ok(await studio.post("/v1/bookings", json=first))
    refused = await studio.post("/v1/booking-sets", json=a_set(two(), found))
    assert refused.status_code == 409
    problem = refused.json()
    assert problem["type"] == "/problems/opening-gone"
    assert "bea: " in problem["detail"]
    assert problem["openings"]
    for name in FRIENDS:
        assert (await studio.get(f"/v1/bookings/{name}")).status_code == 404
    visits = ok(await studio.get(f"/v1/days/{DAY}"))["visits"]
    assert [visit["visit"] for visit in visits] == ["first"]


async def test_two_of_a_set_cannot_have_the_same_hands(studio: Client) -> None:
    found = (await group(studio))["openings"][0]["openings"]
    same = {**found[0], "visit": {**found[0]["visit"], "visit": "bea"}}
    refused = await studio.post("/v1/booking-sets", json=a_set(two(), [found[0], same]))
    assert refused.status_code == 409
    assert (await studio.get("/v1/bookings/amma")).status_code == 404


@pytest.mark.parametrize(
    "bookings",
    [
        [{"request": an_install("amma")}, {"request": an_install("bea")}],
        [{"request": an_install("amma")}],
        [],
    ],
)
async def test_a_set_without_openings_is_refused(
    studio: Client, bookings: list[dict[str, Any]]
) -> None:
    answer = await studio.post("/v1/booking-sets", json={"bookings": bookings})
    assert answer.status_code == 422


@pytest.fixture
async def for_weeks(studio: Client) -> Client:
    """Both leads are in again seven weeks later."""
    for lead in ("lead-1", "lead-2"):
        ok(await studio.post(f"/v1/staff/{lead}/shifts", json=body(a_shift(lead, day=LATER))))
    return studio


async def series(client: Client, **question: Any) -> dict[str, Any]:
    request = an_install("sona", max_assistants=0, windows=(a_window("9:00", "18:00"),))
    told = {"request": request, "weeks": 7, "visits": 2, **question}
    answer: dict[str, Any] = ok(await client.post("/v1/series-openings", json=told))
    return answer


async def test_a_series_keeps_its_lead_and_its_hour(for_weeks: Client) -> None:
    await book(for_weeks, "early", max_assistants=0, required_lead="lead-1")
    request = an_install("sona", max_assistants=0, windows=(a_window("12:30", "18:00"),))
    answer = await series(for_weeks, request=request)
    one, again = (visit["opening"] for visit in answer["visits"])
    assert again["lead"] == one["lead"]
    start = datetime.fromisoformat(one["start"])
    assert datetime.fromisoformat(again["start"]) == start + timedelta(weeks=7)
    assert start.hour >= 12
    assert answer["without_place"] == []


async def test_a_series_is_booked_as_a_set_on_all_its_days(for_weeks: Client) -> None:
    visits = (await series(for_weeks))["visits"]
    assert [visit["request"]["id"] for visit in visits] == ["sona-1", "sona-2"]
    told = a_set([visit["request"] for visit in visits], [visit["opening"] for visit in visits])
    ok(await for_weeks.post("/v1/booking-sets", json=told))
    for day, name in ((DAY, "sona-1"), (LATER, "sona-2")):
        seen = ok(await for_weeks.get(f"/v1/days/{day}"))
        assert [visit["visit"] for visit in seen["visits"]] == [name]
        assert seen["findings"] == []


async def test_a_later_visit_may_begin_with_a_take_down(for_weeks: Client) -> None:
    later = [body(a_phase("take-down", 60)), body(a_shared_phase(180)), body(a_phase("finish", 15))]
    answer = await series(for_weeks, later_phases=later)
    first, again = (visit["opening"]["visit"]["phases"] for visit in answer["visits"])
    assert [phase["kind"] for phase in again] == ["take-down", *(phase["kind"] for phase in first)]


async def test_a_week_without_hands_is_named_with_what_is_in_the_way(for_weeks: Client) -> None:
    answer = await series(for_weeks, weeks=1)
    assert answer["without_place"] == ["sona-2"]
    assert answer["visits"][0]["opening"] is not None
    assert [each["rule"] for each in answer["visits"][1]["obstacles"]] == ["opening-hours"]


async def test_a_fault_of_later_work_is_told_where_it_stands(for_weeks: Client) -> None:
    style = {"technique": "no-such", "name": "x", "size": "medium", "length_cm": 50, "braids": 20}
    request = an_install("sona", windows=(a_window("9:00", "18:00"),))
    told = {"request": request, "weeks": 7, "visits": 2, "later_take_off": {"style": style}}
    answer = await for_weeks.post("/v1/series-openings", json=told)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"].startswith("/later_take_off/")


def test_weeks_are_counted_by_the_clock_on_the_wall() -> None:
    # Lisbon's clocks go forward on 28 March 2027 (EU directive 2000/84/EC: the last Sunday).
    before = a_window("9:00", "18:00", day=date(2027, 3, 20))
    after = weeks_later(before, 2, ZONE)
    assert after == a_window("9:00", "18:00", day=date(2027, 4, 3))
    assert after.start - before.start == timedelta(weeks=2, hours=-1)
