"""Runs between several services over one book: taken over, told and stopped, never made twice."""

from __future__ import annotations

import asyncio
import os
import signal
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from api.services.job_ports import Job, Kind
from api.settings import Settings
from tests.api.databases import KINDS, a_database
from tests.api.http.test_progress import events
from tests.api.studio_kit import Client, a_service, an_install, furnish, ok
from tests.builders import DAY

pytestmark = pytest.mark.anyio
ORDER = {"first": str(DAY), "last": str(DAY), "seconds": 60}
LEASE = 1.0


@pytest.fixture(params=KINDS)
async def settings(
    request: pytest.FixtureRequest, tmp_path: Path, anyio_backend: str
) -> AsyncIterator[Settings]:
    async with a_database(request.param, tmp_path) as fresh:
        settings = fresh.model_copy(update={"lease": LEASE})
        async with a_service(settings) as client:
            await furnish(client)
        yield settings


async def start(client: Client, waiting: int, **order: Any) -> str:
    """The path of a plan under way."""
    for each in range(waiting):
        request = an_install(f"visit-{each}", value=100 + 37 * each)
        ok(await client.post("/v1/bookings", json={"request": request}))
    started = await client.post("/v1/plans", params={"wait": "false"}, json=ORDER | order)
    assert started.status_code == 202, started.text
    return str(started.headers["location"])


async def until_ended(client: Client, path: str) -> dict[str, Any]:
    while (run := ok(await client.get(path)))["state"] == "running":
        await asyncio.sleep(0.05)
    return dict(run)


async def taken_by_one_who_dies(client: Client) -> Job:
    """Somebody takes the next job and is not heard of again."""
    leases = client.app.state.desk.jobs.store.leases
    while (job := await leases.take(Kind.PLAN, LEASE)) is None:
        await asyncio.sleep(0.01)
    return job


def dies(*_: object) -> None:
    """A solver that the machine kills."""
    os.kill(os.getpid(), signal.SIGKILL)


def stumbles(*_: object) -> None:
    """A solver with a bug."""
    raise ValueError("two and two are five")


async def test_a_service_that_starts_leaves_the_runs_of_others_alone(settings: Settings) -> None:
    async with a_service(settings) as first:
        path = await start(first, 9)
        while not first.app.state.desk.jobs.live:
            await asyncio.sleep(0.01)
        async with a_service(settings) as second:
            # Longer than the lease: who is alive keeps what she has.
            await asyncio.sleep(1.3 * LEASE)
            assert ok(await second.get(path))["state"] == "running"
            assert second.app.state.desk.jobs.live == {}
            run = ok(await second.post(f"{path}/cancellation"))
            assert (run["state"], bool(run["result"]["plan"]["visits"])) == ("cancelled", True)
        assert ok(await first.get(path)) == run


async def test_a_run_is_watched_from_another_service_until_its_end(settings: Settings) -> None:
    async with a_service(settings) as first, a_service(settings) as second:
        async with first.app.state.desk.plans.aside.turn, second.app.state.desk.plans.aside.turn:
            path = await start(first, 2)
            watched = [
                asyncio.create_task(each.get(f"{path}/progress")) for each in (first, second)
            ]
            await asyncio.sleep(0.1)
        for stream in await asyncio.gather(*watched):
            told = events(stream.text.splitlines())
            assert [name for name, _ in told][-1] == "done"
            fractions = [data["fraction"] for _, data in told]
            assert fractions == sorted(fractions)


async def test_the_run_of_one_who_died_is_taken_over_and_published_once(
    settings: Settings,
) -> None:
    async with a_service(settings) as client:
        desk = client.app.state.desk
        async with desk.plans.aside.turn:
            # The service is at work on this, and takes no other beside it.
            first = await start(client, 2)
            second = await start(client, 0, publish=True)
            dead = await taken_by_one_who_dies(client)
            assert second.endswith(dead.name)
        assert (await until_ended(client, first))["state"] == "done"
        run = await until_ended(client, second)
        assert (run["state"], run["published"]) == ("done", True)
        bookings = ok(await client.get("/v1/bookings"))
        assert {each["status"] for each in bookings["items"]} == {"CONFIRMED"}
        # Who was thought dead wakes up: it is told that there is nothing to write any more.
        await desk.jobs.carry_out(dead)
        assert ok(await client.get(second)) == run
        assert ok(await client.get("/v1/bookings")) == bookings


async def test_a_solver_that_is_killed_is_tried_again_and_then_given_up(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("api.services.plans._solve", dies)
    async with a_service(settings) as client:
        run = await until_ended(client, await start(client, 1))
        assert run["state"] == "failed"
        job = await client.app.state.desk.jobs._job(run["id"])
        assert job.attempt == 3


async def test_whoever_waits_hears_why_it_failed(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with a_service(settings) as client:
        request = an_install("one")
        ok(await client.post("/v1/bookings", json={"request": request}))
        monkeypatch.setattr("api.services.plans._solve", stumbles)
        answer = await client.post("/v1/plans", json=ORDER)
        assert answer.status_code == 500
        assert answer.headers["content-type"] == "application/problem+json"
