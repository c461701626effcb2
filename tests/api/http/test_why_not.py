"""Why a request does not fit in the book on record."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest

from api.services.short_solves import LONGEST_QUEUE
from tests.api.studio_kit import Client, an_install, book, furnish, ok, tomorrow
from tests.builders import DAY, a_window, at

pytestmark = pytest.mark.anyio

MORNING = (a_window("9:00", "12:30"),)
QUICK = {"seconds": 4}


async def full_morning(studio: Client) -> None:
    for name in ("one", "two"):
        await book(studio, name, windows=MORNING)


async def test_the_rules_in_the_way_are_told_and_changes_that_help(studio: Client) -> None:
    await full_morning(studio)
    before = ok(await studio.get(f"/v1/days/{DAY}"))
    question = {"request": an_install("three", windows=MORNING), **QUICK}
    told = ok(await studio.post("/v1/why-not", json=question))
    assert told["fit"] in {"does-not-fit", "not-as-booked"}
    (day,) = told["days"]
    assert day["date"] == str(DAY)
    assert day["reasons"]
    assert {"one", "two"} & {visit for reason in day["reasons"] for visit in reason["visits"]}
    assert "other-time" in {change["kind"] for change in told["changes"]}
    assert [change["cost"] for change in told["changes"]] == sorted(
        change["cost"] for change in told["changes"]
    )
    assert ok(await studio.get(f"/v1/days/{DAY}")) == before


async def test_one_that_waits_is_asked_about_by_its_id(studio: Client) -> None:
    await full_morning(studio)
    waits = an_install("three", windows=MORNING)
    ok(await studio.post("/v1/bookings", json={"request": waits}))
    told = ok(await studio.post("/v1/why-not", json={"waiting": "three", **QUICK}))
    assert told["request"] == "three"
    assert told["fit"] != "fits"


async def test_one_that_fits_is_told_where(studio: Client) -> None:
    told = ok(await studio.post("/v1/why-not", json={"request": an_install("one"), **QUICK}))
    assert (told["fit"], told["placed"]["visit"]) == ("fits", "one")


async def test_another_day_is_offered_where_somebody_is_in(empty: Client) -> None:
    await furnish(empty, DAY, tomorrow())
    await full_morning(empty)
    question = {"request": an_install("three", windows=MORNING), "around": 1, "seconds": 8}
    told = ok(await empty.post("/v1/why-not", json=question))
    other = [each for each in told["changes"] if each["kind"] == "other-day"]
    assert other
    assert all(each["placed"]["window"]["start"] > f"{tomorrow()}" for each in other)


async def test_nothing_that_is_over_is_offered(studio: Client) -> None:
    await book(studio, "one", windows=MORNING)
    studio.app.state.desk.reasons.clock.instant = at("13:00")
    late = an_install("two", windows=(a_window("17:00", "18:00"),))
    told = ok(await studio.post("/v1/why-not", json={"request": late, **QUICK}))
    assert told["fit"] != "fits"
    starts = [change["placed"]["window"]["start"] for change in told["changes"]]
    assert all(start >= "2026-12-01T13:00" for start in starts)


@pytest.mark.parametrize(
    ("question", "pointer"),
    [
        ({}, ""),
        ({"waiting": "one", "request": an_install("x")}, ""),
        ({"waiting": "nobody"}, "/waiting"),
        ({"waiting": "one"}, "/waiting"),  # it has a place
        ({"request": an_install("one")}, "/request/id"),
        ({"request": an_install("x", required_lead="ghost")}, "/request/required_lead"),
        (
            {"request": an_install("x", windows=(a_window("9:00", "18:00", at("9:00").date()),))}
            | {"around": 40},
            "/around",
        ),
        ({"request": an_install("x"), "seconds": 300}, "/seconds"),
    ],
)
async def test_a_question_that_makes_no_sense_is_refused_by_its_field(
    studio: Client, question: dict[str, Any], pointer: str
) -> None:
    await book(studio, "one")
    answer = await studio.post("/v1/why-not", json=question)
    assert answer.status_code == 422, answer.text
    assert answer.json()["errors"][0]["pointer"] == pointer


async def test_too_many_questions_at_once_are_refused(studio: Client) -> None:
    solves = studio.app.state.desk.solves
    question = {"request": an_install("one"), "seconds": 0.5}
    async with solves.aside.turn:
        asked = [
            asyncio.create_task(studio.post("/v1/why-not", json=question))
            for _ in range(LONGEST_QUEUE)
        ]
        while solves.asked < LONGEST_QUEUE:
            await asyncio.sleep(0.01)
        refused = await studio.post("/v1/why-not", json=question)
        assert refused.status_code == 503
    assert {(await each).status_code for each in asked} == {200}


async def test_a_stop_of_the_service_refuses_what_still_waits(studio: Client) -> None:
    solves = studio.app.state.desk.solves
    question = {"request": an_install("one"), "seconds": 30}
    async with solves.aside.turn:
        asked = asyncio.create_task(studio.post("/v1/why-not", json=question))
        while not solves.asked:
            await asyncio.sleep(0.01)
        await studio.app.state.desk.close()
    assert (await asked).status_code == 503
    assert (await studio.post("/v1/why-not", json=question)).status_code == 503
