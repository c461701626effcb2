"""Plans watched while they are made, and stopped."""

from __future__ import annotations

import asyncio
import json
import shutil
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import httpx
import pytest

from tests.api.served import a_served_book
from tests.api.studio_kit import Client, StoppedClock, an_install, ok
from tests.builders import DAY

ORDER = {"first": str(DAY), "last": str(DAY), "seconds": 60}
WAITING = 9


def events(lines: Iterable[str]) -> list[tuple[str, dict[str, Any]]]:
    """Name and data of each event of a stream (WHATWG HTML, 9.2.6), comments left out."""
    found, name = [], ""
    for line in lines:
        if line.startswith("event: "):
            name = line.removeprefix("event: ")
        elif line.startswith("data: "):
            found.append((name, json.loads(line.removeprefix("data: "))))
    return found


async def _wait(client: Client, number: int) -> None:
    for each in range(number):
        request = an_install(f"visit-{each}", value=100 + 37 * each)
        ok(await client.post("/v1/bookings", json={"request": request}))


async def _start(client: Client, **order: Any) -> str:
    """The path of a plan under way."""
    started = await client.post("/v1/plans", params={"wait": "false"}, json=ORDER | order)
    assert started.status_code == 202
    return str(started.headers["location"])


async def _first_plan(client: Client, path: str) -> None:
    while (run := ok(await client.get(path)))["fraction"] == 0:
        assert run["state"] == "running", run
        await asyncio.sleep(0.01)


@pytest.mark.anyio
async def test_each_better_plan_is_told_and_the_end_as_the_last_thing(studio: Client) -> None:
    await _wait(studio, 3)
    desk = studio.app.state.desk
    async with desk.plans.aside.turn:
        path = await _start(studio)
        while not desk.jobs.live:
            await asyncio.sleep(0.01)
        watched = [asyncio.create_task(studio.get(f"{path}/progress")) for _ in range(3)]
        (live,) = desk.jobs.live.values()
        while len(live._listeners) < len(watched):
            await asyncio.sleep(0.01)
    streams = await asyncio.gather(*watched)
    run = ok(await studio.get(path))
    for stream in streams:
        assert stream.headers["content-type"].startswith("text/event-stream")
        told = events(stream.text.splitlines())
        assert {name for name, _ in told[:-1]} == {"running"}
        fractions = [data["fraction"] for _, data in told]
        assert fractions == sorted(fractions)
        better = [data for _, data in told if data["day"] == str(DAY)]
        assert any(data["tier"] == "accepted-value" and data["value"] for data in better)
        assert all(abs(data["value"] - data["bound"]) >= data["gap"] for data in better)
        name, last = told[-1]
        assert (name, last["state"], last["fraction"]) == ("done", "done", 1)
        assert last["value"] == run["result"]["tiers"][0]["value"]


@pytest.mark.anyio
async def test_a_plan_that_has_ended_is_told_in_one_event(studio: Client) -> None:
    await _wait(studio, 1)
    made = ok(await studio.post("/v1/plans", json=ORDER))
    stream = await studio.get(f"/v1/plans/{made['id']}/progress")
    assert [name for name, _ in events(stream.text.splitlines())] == ["done"]


@pytest.mark.anyio
async def test_who_has_heard_the_end_is_told_not_to_come_again(studio: Client) -> None:
    await _wait(studio, 1)
    made = ok(await studio.post("/v1/plans", json=ORDER))
    path = f"/v1/plans/{made['id']}/progress"
    (last,) = [line for line in (await studio.get(path)).text.splitlines() if line[:3] == "id:"]
    heard = {"Last-Event-ID": last.removeprefix("id: ")}
    again = await studio.get(path, headers=heard)
    assert (again.status_code, again.content) == (204, b"")
    assert (await studio.get("/v1/plans/plan-0/progress", headers=heard)).status_code == 404


@pytest.mark.anyio
@pytest.mark.parametrize("method", ["GET progress", "POST cancellation"])
async def test_a_plan_nobody_ordered_is_not_there(studio: Client, method: str) -> None:
    verb, what = method.split()
    answer = await studio.request(verb, f"/v1/plans/plan-0/{what}")
    assert answer.status_code == 404
    assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.anyio
async def test_a_cancelled_plan_is_the_best_so_far_and_is_not_published(studio: Client) -> None:
    await _wait(studio, WAITING)
    path = await _start(studio, publish=True)
    watched = asyncio.create_task(studio.get(f"{path}/progress"))
    await _first_plan(studio, path)
    run = ok(await studio.post(f"{path}/cancellation"))
    assert (run["state"], run["published"]) == ("cancelled", False)
    assert run["result"]["plan"]["visits"]
    assert ok(await studio.get(path)) == run
    assert events((await watched).text.splitlines())[-1][0] == "cancelled"
    assert ok(await studio.get(f"/v1/days/{DAY}"))["visits"] == []
    assert ok(await studio.post(f"{path}/cancellation")) == run


@pytest.mark.anyio
async def test_a_plan_cancelled_before_its_turn_ends_without_one(studio: Client) -> None:
    await _wait(studio, 2)
    async with studio.app.state.desk.plans.aside.turn:
        path = await _start(studio)
        run = ok(await studio.post(f"{path}/cancellation"))
    assert (run["state"], run["result"]) == ("cancelled", None)
    # The turn is not lost with it.
    assert ok(await studio.post("/v1/plans", json=ORDER))["state"] == "done"


@pytest.mark.anyio
async def test_cancelling_a_plan_that_is_done_changes_nothing(studio: Client) -> None:
    await _wait(studio, 1)
    made = ok(await studio.post("/v1/plans", json=ORDER))
    assert ok(await studio.post(f"/v1/plans/{made['id']}/cancellation")) == made


@pytest.mark.anyio
async def test_a_stop_of_the_service_answers_who_waits_for_a_plan(studio: Client) -> None:
    await _wait(studio, 1)
    desk = studio.app.state.desk
    async with desk.plans.aside.turn:
        asked = asyncio.create_task(studio.post("/v1/plans", json=ORDER))
        while not desk.jobs.live:
            await asyncio.sleep(0.01)
        await desk.close()
    answer = await asked
    assert (answer.status_code, "stopped" in answer.json()["detail"]) == (503, True)
    assert (await studio.post("/v1/plans", json=ORDER)).status_code == 503


def _ask(client: httpx.Client) -> str:
    for each in range(WAITING):
        request = an_install(f"visit-{each}", value=100 + 37 * each)
        assert client.post("/v1/bookings", json={"request": request}).is_success
    started = client.post("/v1/plans", params={"wait": "false"}, json=ORDER)
    return str(started.headers["location"])


def test_a_stop_of_the_service_ends_the_streams(furnished_book: Path, tmp_path: Path) -> None:
    shutil.copy(furnished_book, tmp_path / "book.db")
    with httpx.Client(trust_env=False, timeout=60) as client:
        with a_served_book(tmp_path / "book.db", StoppedClock()) as address:
            client.base_url = httpx.URL(address)
            asked = client.build_request("GET", f"{_ask(client)}/progress")
            lines = client.send(asked, stream=True).iter_lines()
            assert next(lines) == "event: running"
        # It has not ended: it goes on with the next service, and so does who watches it.
        told = events(lines)
    assert {data["state"] for _, data in told} == {"running"}


def test_a_listener_who_hangs_up_does_no_harm(furnished_book: Path, tmp_path: Path) -> None:
    shutil.copy(furnished_book, tmp_path / "book.db")
    with (
        a_served_book(tmp_path / "book.db", StoppedClock()) as address,
        httpx.Client(base_url=address, trust_env=False, timeout=60) as client,
    ):
        path = _ask(client)
        with client.stream("GET", f"{path}/progress") as stream:
            assert next(stream.iter_lines()) == "event: running"
        assert client.get(path).json()["state"] == "running"
        assert client.post(f"{path}/cancellation").json()["state"] == "cancelled"
