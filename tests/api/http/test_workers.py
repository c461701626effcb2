"""Plans made by workers from a queue in Redis; workers that are killed; and Redis stopped.

`PARTLINE_KILLS=50` kills workers more often.
"""

from __future__ import annotations

import asyncio
import os
import shutil
import signal
import socket
import subprocess
from collections.abc import AsyncIterator, Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from typing import Any
from uuid import uuid4

import pytest

from api.settings import Settings
from tests.api.cli.cli_process import PARTLINE, environment
from tests.api.databases import KINDS, a_database
from tests.api.http.test_shared_runs import until_ended
from tests.api.studio_kit import Client, a_service, an_install, book, furnish, ok
from tests.builders import DAY

pytestmark = [pytest.mark.anyio, pytest.mark.service]
KILLS = int(os.environ.get("PARTLINE_KILLS", "1"))
LEASE = 1.0
ORDER = {"first": str(DAY), "last": str(DAY), "seconds": 2, "publish": True}


class OwnRedis:
    """A Redis of the test's own, that it may stop and start; it keeps nothing."""

    def __init__(self, folder: Path) -> None:
        with socket.create_server(("127.0.0.1", 0)) as free:
            self.port: int = free.getsockname()[1]
        self.folder = folder
        self.process: subprocess.Popen[bytes] | None = None
        self.url = f"redis://127.0.0.1:{self.port}/0"

    def start(self) -> None:
        told = ("--bind", "127.0.0.1", "--port", str(self.port), "--save", "")
        self.process = subprocess.Popen(
            ["redis-server", *told, "--dir", str(self.folder)], stdout=subprocess.DEVNULL
        )

    def stop(self) -> None:
        if self.process is not None:
            self.process.kill()
            self.process.wait()


@pytest.fixture
def redis(tmp_path: Path) -> Iterator[OwnRedis]:
    if shutil.which("redis-server") is None:
        pytest.skip("there is no redis-server on this machine")
    own = OwnRedis(tmp_path)
    own.start()
    yield own
    own.stop()


@pytest.fixture(params=KINDS)
async def settings(
    request: pytest.FixtureRequest, tmp_path: Path, redis: OwnRedis, anyio_backend: str
) -> AsyncIterator[Settings]:
    async with a_database(request.param, tmp_path) as fresh:
        async with a_service(fresh) as client:
            await furnish(client)
        queue = f"test-{uuid4().hex[:8]}"
        yield fresh.model_copy(update={"redis": redis.url, "queue": queue, "lease": LEASE})


@contextmanager
def a_worker(settings: Settings) -> Iterator[subprocess.Popen[bytes]]:
    stated = environment(
        PARTLINE_DATABASE=settings.database,
        PARTLINE_REDIS=settings.redis or "",
        PARTLINE_QUEUE=settings.queue,
        PARTLINE_LEASE=str(settings.lease),
    )
    process = subprocess.Popen([*PARTLINE, "work"], stderr=subprocess.DEVNULL, env=stated)
    try:
        yield process
    finally:
        process.terminate()
        try:
            process.wait(30)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


async def until_manned(client: Client, manned: bool = True) -> None:
    while await client.app.state.desk.jobs.queue.is_manned() is not manned:
        await asyncio.sleep(0.05)


async def wait_for_places(client: Client, names: tuple[str, ...]) -> None:
    for number, name in enumerate(names):
        request = an_install(name, value=100 + 37 * number)
        ok(await client.post("/v1/bookings", json={"request": request}))


async def start(client: Client, **order: Any) -> str:
    started = await client.post("/v1/plans", params={"wait": "false"}, json=ORDER | order)
    assert started.status_code == 202, started.text
    return str(started.headers["location"])


async def at_work(client: Client, path: str) -> None:
    """Until somebody is at work on it, and has come some way."""
    while not (run := ok(await client.get(path)))["fraction"]:
        assert run["state"] == "running", run
        await asyncio.sleep(0.02)


async def test_a_run_whose_worker_is_killed_is_made_by_another_and_published_once(
    settings: Settings,
) -> None:
    random = Random("workers")
    async with a_service(settings) as client:
        await wait_for_places(client, tuple(f"visit-{each}" for each in range(9)))
        path = ""
        for _ in range(KILLS):
            with a_worker(settings) as worker:
                await until_manned(client)
                path = path or await start(client, seconds=4)
                await at_work(client, path)
                await asyncio.sleep(random.uniform(0, 0.3))
                worker.send_signal(signal.SIGKILL)
                worker.wait()
            assert client.app.state.desk.jobs.live == {}
            if (await client.app.state.desk.jobs._job(path.split("/")[-1])).attempt == 3:
                # One that has killed three is given up, by design: begin another.
                path = ""
        with a_worker(settings):
            await until_manned(client)
            path = path or await start(client)
            stream = asyncio.create_task(client.get(f"{path}/progress"))
            run = await until_ended(client, path)
            assert (run["state"], run["published"], run["notice"]) == ("done", True, None)
            assert "event: done" in (await stream).text
        told = ok(await client.get("/v1/changes?kind=plan"))["items"]
        mine = [each for each in told if each["name"] == run["id"]]
        assert [each["after"]["published"] for each in mine] == [True, False]
        day = ok(await client.get(f"/v1/days/{DAY}"))
        assert len(day["visits"]) == len(run["result"]["plan"]["visits"])
        assert not [each for each in day["findings"] if each["hard"]]


@pytest.mark.parametrize("settings", ["postgresql"], indirect=True)
async def test_redis_stopped_is_told_and_booking_and_planning_go_on(
    settings: Settings, redis: OwnRedis
) -> None:
    async with a_service(settings) as client:
        with a_worker(settings):
            await until_manned(client)
            await wait_for_places(client, ("one",))
            redis.stop()
            await book(client, "two")
            run = ok(await client.post("/v1/plans", json=ORDER))
            assert (run["state"], run["published"]) == ("done", True)
            assert "no worker answers" in run["notice"]
            redis.start()
            # The worker comes back by itself, and is handed what is ordered then.
            await until_manned(client)
            await wait_for_places(client, ("three",))
            run = ok(await client.post("/v1/plans", json=ORDER))
            assert (run["state"], run["published"], run["notice"]) == ("done", True, None)
            assert client.app.state.desk.runner.tasks == {} or not any(
                client.app.state.desk.runner.tasks.values()
            )


@pytest.mark.parametrize("settings", ["postgresql"], indirect=True)
async def test_a_run_at_a_worker_is_stopped_from_a_service(settings: Settings) -> None:
    async with a_service(settings) as client:
        await wait_for_places(client, tuple(f"visit-{each}" for each in range(9)))
        with a_worker(settings):
            await until_manned(client)
            path = await start(client, seconds=60)
            await at_work(client, path)
            run = ok(await client.post(f"{path}/cancellation"))
            assert (run["state"], run["published"]) == ("cancelled", False)
            assert run["result"]["plan"]["visits"]
