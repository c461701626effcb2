"""Two at once: one gets it, the other is told so. In both databases."""

from __future__ import annotations

import asyncio
import copy
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from api.settings import Settings
from tests.api.databases import KINDS, a_database
from tests.api.studio_kit import (
    Client,
    a_service,
    an_install,
    body,
    book,
    furnish,
    ok,
    openings_for,
)
from tests.builders import DAY, a_chair, a_window, at

pytestmark = pytest.mark.anyio


@pytest.fixture(params=KINDS)
async def settings(
    request: pytest.FixtureRequest, tmp_path: Path, anyio_backend: str
) -> AsyncIterator[Settings]:
    async with a_database(request.param, tmp_path) as fresh:
        yield fresh


@pytest.fixture
async def desks(settings: Settings) -> AsyncIterator[tuple[Client, Client]]:
    """Two services over one book, as two processes would be."""
    async with a_service(settings) as first:
        await furnish(first)
        async with a_service(settings) as second:
            yield first, second


def _for(name: str, opening: dict[str, Any]) -> dict[str, Any]:
    theirs = copy.deepcopy(opening)
    theirs["visit"]["visit"] = name
    return {"request": an_install(name), "opening": theirs}


async def test_one_opening_has_one_buyer(desks: tuple[Client, Client]) -> None:
    opening = (await openings_for(desks[0], an_install("visit-0")))[0]
    answers = await asyncio.gather(
        *(
            desks[number % 2].post("/v1/bookings", json=_for(f"visit-{number}", opening))
            for number in range(6)
        )
    )
    assert sorted(answer.status_code for answer in answers) == [201] + [409] * 5
    day = ok(await desks[0].get(f"/v1/days/{DAY}"))
    assert len(day["visits"]) == 1
    assert day["findings"] == []


async def test_buyers_of_different_openings_both_get_theirs(desks: tuple[Client, Client]) -> None:
    alone = {"max_assistants": 0}
    first = (await openings_for(desks[0], an_install("one", required_lead="lead-1", **alone)))[0]
    second = (await openings_for(desks[0], an_install("two", required_lead="lead-2", **alone)))[0]
    second["visit"]["chair"] = "chair-2"
    first["visit"]["chair"] = "chair-1"
    answers = await asyncio.gather(
        desks[0].post("/v1/bookings", json=_for("one", first)),
        desks[1].post("/v1/bookings", json=_for("two", second)),
    )
    assert [answer.status_code for answer in answers] == [201, 201]


async def test_one_name_is_taken_once(desks: tuple[Client, Client]) -> None:
    answers = await asyncio.gather(
        *(desk.post("/v1/chairs", json=body(a_chair("chair-9"))) for desk in desks * 3)
    )
    assert sorted(answer.status_code for answer in answers) == [201] + [409] * 5


async def test_one_of_two_edits_of_the_same_version_goes_through(
    desks: tuple[Client, Client],
) -> None:
    answers = await asyncio.gather(
        *(
            desk.put(
                "/v1/chairs/chair-1",
                json=body(a_chair("chair-1", name=f"Chair {number}")),
                headers={"If-Match": '"1"'},
            )
            for number, desk in enumerate(desks * 2)
        )
    )
    assert sorted(answer.status_code for answer in answers) == [200, 412, 412, 412]
    assert (await desks[0].get("/v1/chairs/chair-1")).headers["etag"] == '"2"'


async def test_a_booking_is_called_off_while_it_is_moved(desks: tuple[Client, Client]) -> None:
    opening = (await openings_for(desks[0], an_install("one")))[0]
    ok(await desks[0].post("/v1/bookings", json=_for("one", opening)))
    moved, gone = await asyncio.gather(
        desks[0].patch("/v1/bookings/one", json={"opening": opening}),
        desks[1].delete("/v1/bookings/one", headers={"If-Match": "*"}),
    )
    assert gone.status_code == 200
    assert moved.status_code in {200, 409, 412}
    record = ok(await desks[0].get("/v1/bookings/one"))
    day = ok(await desks[0].get(f"/v1/days/{DAY}"))
    assert len(day["visits"]) == (1 if record["status"] == "CONFIRMED" else 0)


async def test_nothing_is_lost_when_everyone_books_at_once(desks: tuple[Client, Client]) -> None:
    async def buy(number: int) -> int:
        """Ask, buy; and buy what is offered instead, until something is had or nothing is left."""
        name, desk = f"visit-{number}", desks[number % 2]
        openings = await openings_for(desk, an_install(name))
        while openings:
            answer = await desk.post("/v1/bookings", json=_for(name, openings[0]))
            if answer.status_code == 201:
                return 1
            assert answer.status_code == 409
            openings = answer.json().get("openings", [])
        return 0

    bought = sum(await asyncio.gather(*(buy(number) for number in range(5))))
    day = ok(await desks[0].get(f"/v1/days/{DAY}"))
    assert len(day["visits"]) == bought >= 3
    assert day["findings"] == []


async def test_a_plan_is_published_or_not_in_both_databases(desks: tuple[Client, Client]) -> None:
    for name in ("one", "two", "three"):
        ok(await desks[0].post("/v1/bookings", json={"request": an_install(name)}))
    order = {"first": str(DAY), "last": str(DAY), "seconds": 5, "publish": True}
    answers = await asyncio.gather(*(desk.post("/v1/plans", json=order) for desk in desks))
    # Both are made from the same book: the second to be done finds it changed, unless the first
    # was done before the second began.
    assert sorted(answer.status_code for answer in answers) in ([201, 409], [201, 201])
    day = ok(await desks[0].get(f"/v1/days/{DAY}"))
    assert len(day["visits"]) == 3
    assert day["findings"] == []
    again = ok(await desks[1].post("/v1/plans", json=order))
    assert again["published"] is True
    assert ok(await desks[0].get(f"/v1/days/{DAY}"))["findings"] == []


async def test_of_two_repairs_of_one_book_one_is_accepted(desks: tuple[Client, Client]) -> None:
    await book(desks[0], "one", windows=(a_window("9:00", "18:00"),))
    events = {
        "one": {"kind": "late-arrival", "visit": "one", "arrives": at("9:40").isoformat()},
        "door": {"kind": "walk-in", "request": an_install("door")},
    }
    rest = {"last": str(DAY), "seconds": 2}
    runs = [
        ok(await desks[0].post("/v1/repairs", json={"events": [event]} | rest))
        for event in events.values()
    ]
    answers = await asyncio.gather(
        *(
            desk.post(f"/v1/repairs/{run['id']}/acceptance")
            for desk, run in zip(desks, runs, strict=True)
        )
    )
    assert sorted(answer.status_code for answer in answers) == [200, 409]
    states = [ok(await desks[1].get(f"/v1/repairs/{run['id']}"))["state"] for run in runs]
    assert [state == "accepted" for state in states] == [
        answer.status_code == 200 for answer in answers
    ]
    day = ok(await desks[0].get(f"/v1/days/{DAY}"))
    assert [each for each in day["findings"] if each["hard"]] == []


async def test_a_service_says_that_it_is_not_ready_when_the_tables_are_older(
    settings: Settings,
) -> None:
    async with a_service(settings) as client:
        assert (await client.get("/v1/health/ready")).status_code == 200
        store = client.app.state.desk.salon.store
        async with store.engines.writer.begin() as connection:
            await connection.exec_driver_sql("UPDATE alembic_version SET version_num = '0000'")
        answer = await client.get("/v1/health/ready")
        assert answer.status_code == 503
        assert "0000" in answer.json()["detail"]
        assert answer.headers["retry-after"] == "1"
        assert (await client.get("/v1/health/live")).status_code == 200
