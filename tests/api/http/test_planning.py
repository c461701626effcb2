"""Plans over HTTP: made, published in one go, or not at all."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.api.studio_kit import Client, a_small_service, an_install, body, book, furnish, ok
from tests.builders import DAY, a_chair, a_window, at

pytestmark = pytest.mark.anyio

ORDER = {"first": str(DAY), "last": str(DAY), "seconds": 5}


async def _wait(client: Client, names: tuple[str, ...], **changes: Any) -> None:
    for name in names:
        request = an_install(name, **changes)
        ok(await client.post("/v1/bookings", json={"request": request}))


async def _statuses(client: Client) -> dict[str, str]:
    page = ok(await client.get("/v1/bookings"))
    return {record["id"]: record["status"] for record in page["items"]}


async def test_a_plan_is_read_again_by_its_id(studio: Client) -> None:
    await _wait(studio, ("one", "two"))
    made = await studio.post("/v1/plans", json=ORDER)
    assert made.status_code == 201
    run = made.json()
    assert run["result"]["status"] == "optimal"
    assert {visit["visit"] for visit in run["result"]["plan"]["visits"]} == {"one", "two"}
    assert ok(await studio.get(made.headers["location"])) == run
    assert await _statuses(studio) == {"one": "TENTATIVE", "two": "TENTATIVE"}


async def test_publishing_accepts_what_got_a_place(studio: Client) -> None:
    await book(studio, "one")
    await _wait(studio, ("two", "three"))
    run = ok(await studio.post("/v1/plans", json=ORDER | {"publish": True}))
    assert run["published"] is True
    assert set((await _statuses(studio)).values()) == {"CONFIRMED"}
    day = ok(await studio.get(f"/v1/days/{DAY}"))
    assert day["findings"] == []
    planned = {visit["visit"]: visit["window"] for visit in run["result"]["plan"]["visits"]}
    assert {visit["visit"]: visit["window"] for visit in day["visits"]} == planned
    two = ok(await studio.get("/v1/bookings/two"))
    assert two["promise"]["start"] == planned["two"]["start"]


async def test_what_finds_no_place_goes_on_waiting(studio: Client) -> None:
    await _wait(studio, ("one", "two", "three"), windows=(a_window("9:00", "12:30"),))
    run = ok(await studio.post("/v1/plans", json=ORDER | {"publish": True}))
    (declined,) = run["result"]["plan"]["declined"]
    statuses = await _statuses(studio)
    assert statuses.pop(declined) == "TENTATIVE"
    assert set(statuses.values()) == {"CONFIRMED"}


async def test_a_finish_that_was_sold_is_not_planned_later(studio: Client) -> None:
    # Alone, each install takes until 12:15; with the only assistant, until 11:15. The second one
    # must be done by 11:30, so a planner would take the assistant away from the first.
    made = await book(studio, "one", windows=(a_window("9:00", "11:30"),))
    assert made["promise"]["latest_finish"] == made["placed"]["window"]["end"]
    await _wait(studio, ("two",), windows=(a_window("9:00", "11:30"),), value=1_000_000)
    run = ok(await studio.post("/v1/plans", json=ORDER | {"publish": True}))
    assert run["result"]["plan"]["declined"] == ["two"]
    kept = ok(await studio.get("/v1/bookings/one"))
    assert at_or_before(kept["placed"]["window"]["end"], made["promise"]["latest_finish"])

    # Once the client agrees to a later finish, the planner may.
    ok(await studio.patch("/v1/bookings/one", json={"latest_finish": None}))
    run = ok(await studio.post("/v1/plans", json=ORDER | {"publish": True}))
    assert run["result"]["plan"]["declined"] == []
    kept = ok(await studio.get("/v1/bookings/one"))
    assert not at_or_before(kept["placed"]["window"]["end"], made["promise"]["latest_finish"])


def at_or_before(one: str, other: str) -> bool:
    return datetime.fromisoformat(one) <= datetime.fromisoformat(other)


async def test_publishing_twice_moves_no_promise(studio: Client) -> None:
    await _wait(studio, ("one", "two"))
    ok(await studio.post("/v1/plans", json=ORDER | {"publish": True}))
    before = {
        name: ok(await studio.get(f"/v1/bookings/{name}"))["promise"] for name in ("one", "two")
    }
    ok(await studio.post("/v1/plans", json=ORDER | {"publish": True, "seed": 7}))
    after = {
        name: ok(await studio.get(f"/v1/bookings/{name}"))["promise"] for name in ("one", "two")
    }
    assert after == before


async def test_what_is_over_is_not_planned_any_more(studio: Client) -> None:
    await _wait(studio, ("one",))
    studio.app.state.desk.plans.clock.instant = at("12:07")
    run = ok(await studio.post("/v1/plans", json=ORDER))
    (visit,) = run["result"]["plan"]["visits"]
    assert visit["window"]["start"] >= "2026-12-01T12:07:00Z"


async def test_a_day_that_runs_is_not_published_anew(studio: Client) -> None:
    made = await book(studio, "one")
    await _wait(studio, ("two",))
    studio.app.state.desk.plans.clock.instant = at("10:00")
    order = ORDER | {"publish": True}
    answer = await studio.post("/v1/plans", json=order)
    assert answer.status_code == 409
    assert "/v1/repairs" in answer.json()["detail"]
    assert ok(await studio.get("/v1/bookings/one"))["placed"] == made["placed"]
    studio.app.state.desk.plans.clock.instant = at("9:00")  # it begins this very minute
    assert ok(await studio.post("/v1/plans", json=order))["published"] is True


@asynccontextmanager
async def _held_back(client: Client) -> AsyncIterator[None]:
    """The solver waits its turn until the block ends; then the book has moved on."""
    desk = client.app.state.desk
    async with desk.plans.aside.turn:
        yield
        while not any(live.begun.is_set() for live in desk.jobs.live.values()):
            await asyncio.sleep(0.01)
        chair = body(a_chair("chair-1", name="Window"))
        ok(await client.put("/v1/chairs/chair-1", json=chair))


async def test_a_plan_made_from_an_older_book_is_not_published(studio: Client) -> None:
    await _wait(studio, ("one", "two"))
    async with _held_back(studio):
        order = ORDER | {"publish": True}
        slow = asyncio.create_task(studio.post("/v1/plans", json=order))
    answer = await slow
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/book-changed"
    assert set((await _statuses(studio)).values()) == {"TENTATIVE"}
    assert ok(await studio.get(f"/v1/days/{DAY}"))["visits"] == []


async def test_a_plan_that_is_not_published_may_be_of_an_older_book(studio: Client) -> None:
    await _wait(studio, ("one",))
    async with _held_back(studio):
        slow = asyncio.create_task(studio.post("/v1/plans", json=ORDER))
    assert (await slow).status_code == 201


async def test_a_plan_may_be_watched_while_it_runs(studio: Client) -> None:
    await _wait(studio, ("one", "two"))
    started = await studio.post("/v1/plans", params={"wait": "false"}, json=ORDER)
    assert started.status_code == 202
    assert started.json()["state"] == "running"
    fractions = []
    while (run := ok(await studio.get(started.headers["location"])))["state"] == "running":
        fractions.append(run["fraction"])
        await asyncio.sleep(0.02)
    assert run["state"] == "done"
    assert run["result"]["plan"] is not None
    assert fractions == sorted(fractions)
    assert all(0 <= fraction <= 1 for fraction in fractions)


async def test_a_plan_that_fails_in_the_background_says_why(studio: Client) -> None:
    await _wait(studio, ("one", "two"))
    async with _held_back(studio):
        order = ORDER | {"publish": True}
        started = await studio.post("/v1/plans", params={"wait": "false"}, json=order)
    while (run := ok(await studio.get(started.headers["location"])))["state"] == "running":
        await asyncio.sleep(0.02)
    assert run["state"] == "failed"
    assert run["problem"]["type"] == "/problems/book-changed"


async def test_a_run_cut_short_by_a_stop_goes_on_with_the_next_service(tmp_path: Path) -> None:
    async with a_small_service(tmp_path) as client:
        await furnish(client)
        await _wait(client, tuple(f"visit-{number}" for number in range(8)))
        order = ORDER | {"seconds": 60}
        started = await client.post("/v1/plans", params={"wait": "false"}, json=order)
        where = started.headers["location"]
        while not client.app.state.desk.jobs.live:
            await asyncio.sleep(0.01)
    async with a_small_service(tmp_path) as client:
        assert ok(await client.get(where))["state"] == "running"
        while not ok(await client.get(where))["fraction"]:
            await asyncio.sleep(0.01)
        run = ok(await client.post(f"{where}/cancellation"))
        assert run["state"] == "cancelled"
        assert run["result"]["plan"]["visits"]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"last": "2026-11-30"}, ""),
        ({"last": "2027-03-01"}, ""),
        ({"first": "tomorrow"}, "/first"),
        ({"seconds": 0}, "/seconds"),
        ({"seconds": 1e9}, "/seconds"),
        ({"seed": -1}, "/seed"),
        ({"seed": "7"}, "/seed"),
        ({"publish": "perhaps"}, "/publish"),
    ],
)
async def test_an_order_that_makes_no_sense_is_refused_by_its_field(
    studio: Client, change: dict[str, Any], pointer: str
) -> None:
    answer = await studio.post("/v1/plans", json=ORDER | change)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer


async def test_days_without_a_shift_cannot_be_planned(studio: Client) -> None:
    answer = await studio.post(
        "/v1/plans", json=ORDER | {"first": "2027-02-01", "last": "2027-02-05"}
    )
    assert answer.status_code == 409
    assert "shift" in answer.json()["detail"]
