"""A service that is killed while desks are booking: nothing is lost, and nothing is half written.

SIGKILL leaves a process no time to tidy up, so what is in the database then is what its
transactions made of it. `PARTLINE_KILLS=50` kills it more often.
"""

from __future__ import annotations

import asyncio
import os
import signal
import socket
import subprocess
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

import httpx
import pytest
import sqlalchemy as sa
from sqlalchemy.ext.asyncio import create_async_engine

from api.settings import Settings
from tests.api.cli.cli_process import PARTLINE, environment
from tests.api.databases import KINDS, a_database
from tests.api.studio_kit import a_service, an_install, furnish
from tests.builders import a_window

pytestmark = pytest.mark.anyio
KILLS = int(os.environ.get("PARTLINE_KILLS", "2"))
DESKS = 4
# Far enough from now that no opening is past, however long this test will be kept.
MONDAY = date(2090, 1, 2)
DAYS = tuple(MONDAY + timedelta(days=number) for number in range(5))

CONSISTENT = {
    "a confirmed booking that takes nothing": "SELECT count(*) FROM booking WHERE status = "
    "'CONFIRMED' AND NOT EXISTS (SELECT 1 FROM occupancy WHERE booking_id = booking.id)",
    "a booking without its record": "SELECT count(*) FROM booking WHERE (SELECT count(*) FROM "
    "change WHERE kind = 'booking' AND act = 'added' AND name = booking.id) <> 1",
    "a record without its booking": "SELECT count(*) FROM change WHERE kind = 'booking' AND NOT "
    "EXISTS (SELECT 1 FROM booking WHERE id = change.name)",
    "a booking without its kept answer": "SELECT count(*) FROM booking WHERE NOT EXISTS "
    "(SELECT 1 FROM answered WHERE key = 'key-' || booking.id)",
    "a kept answer without its booking": "SELECT count(*) FROM answered WHERE NOT EXISTS "
    "(SELECT 1 FROM booking WHERE 'key-' || booking.id = answered.key)",
}
"""What must count to nothing, whenever the service is killed."""


class Diary:
    """What the desks have asked for, and what they were told."""

    def __init__(self) -> None:
        self.number = 0
        self.told: dict[str, bytes] = {}
        self.unheard: dict[str, dict[str, Any]] = {}

    def next(self) -> str:
        self.number += 1
        return f"visit-{self.number}"


@pytest.fixture(params=KINDS)
async def settings(
    request: pytest.FixtureRequest, tmp_path: Path, anyio_backend: str
) -> AsyncIterator[Settings]:
    async with a_database(request.param, tmp_path) as fresh:
        async with a_service(fresh) as client:
            await furnish(client, *DAYS)
        yield fresh


@asynccontextmanager
async def _a_process(
    settings: Settings, port: int
) -> AsyncIterator[tuple[subprocess.Popen[bytes], httpx.AsyncClient]]:
    """The service as a process of its own, which is gone afterwards."""
    stated = environment(PARTLINE_DATABASE=settings.database, PARTLINE_TOKENS="off")
    process = subprocess.Popen(
        [*PARTLINE, "serve", "--port", str(port)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=stated,
    )
    address = f"http://127.0.0.1:{port}"
    try:
        async with httpx.AsyncClient(base_url=address, trust_env=False, timeout=60) as client:
            await _until_ready(process, client)
            yield process, client
    finally:
        process.kill()
        process.wait()


async def _until_ready(process: subprocess.Popen[bytes], client: httpx.AsyncClient) -> None:
    for _ in range(600):
        assert process.poll() is None, "the service did not start"
        try:
            if (await client.get("/v1/health/ready")).is_success:
                return
        except httpx.TransportError:
            pass
        await asyncio.sleep(0.1)
    raise AssertionError("the service takes too long to start")


async def _buy(client: httpx.AsyncClient, diary: Diary, random: Random) -> None:
    """Book one short visit after the other, until the service is gone."""
    while True:
        name, day = diary.next(), random.choice(DAYS)
        window = a_window("9:00", "18:00", day).model_dump(mode="json")
        request = an_install(name) | {"windows": [window]}
        bought: dict[str, Any] = {"request": request}
        try:
            if random.random() < 0.5:
                asked = {"request": request, "limit": 1}
                found = (await client.post("/v1/openings", json=asked)).json()["openings"]
                bought |= {"opening": found[0]} if found else {}
            diary.unheard[name] = bought
            answer = await _book(client, name, bought)
        except httpx.TransportError:
            return
        del diary.unheard[name]
        if answer.status_code == 201:
            diary.told[name] = answer.content
        else:
            assert answer.status_code == 409, answer.text


async def _book(client: httpx.AsyncClient, name: str, bought: dict[str, Any]) -> httpx.Response:
    return await client.post(
        "/v1/bookings", json=bought, headers={"Idempotency-Key": f"key-{name}"}
    )


async def _require_consistent(settings: Settings) -> None:
    engine = create_async_engine(settings.database_url)
    async with engine.connect() as connection:
        for what, query in CONSISTENT.items():
            assert (await connection.execute(sa.text(query))).scalar_one() == 0, what
    await engine.dispose()


async def _require_kept(client: httpx.AsyncClient, diary: Diary) -> None:
    """Whatever was said is so; whatever was not heard is done once by saying it again."""
    for name, content in diary.told.items():
        assert (await client.get(f"/v1/bookings/{name}")).content == content
    for name, bought in list(diary.unheard.items()):
        first, second = [await _book(client, name, bought) for _ in range(2)]
        assert first.status_code == second.status_code
        assert first.status_code in {201, 409}, first.text
        if first.status_code == 201:
            assert first.content == second.content
            diary.told[name] = first.content
        del diary.unheard[name]
    for day in DAYS:
        findings = (await client.get(f"/v1/days/{day}")).json()["findings"]
        assert not [finding for finding in findings if finding["hard"]]


async def test_what_was_said_is_kept_and_nothing_is_half_written(
    settings: Settings, unused_port: int
) -> None:
    random, diary = Random("killed"), Diary()
    for _ in range(KILLS):
        async with _a_process(settings, unused_port) as (process, client):
            await _require_kept(client, diary)
            desks = [asyncio.create_task(_buy(client, diary, random)) for _ in range(DESKS)]
            await asyncio.sleep(random.uniform(0.3, 1.5))
            process.send_signal(signal.SIGKILL)
            await asyncio.gather(*desks)
            process.wait()
        await _require_consistent(settings)
    async with _a_process(settings, unused_port) as (_, client):
        await _require_kept(client, diary)
    await _require_consistent(settings)
    assert len(diary.told) > KILLS


@pytest.fixture
def unused_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as server:
        port: int = server.getsockname()[1]
    return port
