"""A book is backed up while the service runs, and restored whole, or not at all. On both stores."""

from __future__ import annotations

import asyncio
import os
import shutil
import subprocess
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from api.settings import Settings
from tests.api.databases import KINDS, a_database
from tests.api.studio_kit import Client, a_service, book, furnish, ok
from tests.builders import DAY

pytestmark = pytest.mark.anyio
DEPLOY = Path(__file__).parents[2] / "deploy"


@pytest.fixture(params=KINDS)
def kind(request: pytest.FixtureRequest) -> str:
    if request.param == "postgresql" and shutil.which("pg_dump") is None:
        pytest.skip("there is no pg_dump on this machine")
    return str(request.param)


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"


@pytest.fixture
async def settings(kind: str, tmp_path: Path, anyio_backend: str) -> AsyncIterator[Settings]:
    async with a_database(kind, tmp_path) as fresh:
        yield fresh


@pytest.fixture
async def elsewhere(kind: str, tmp_path: Path, anyio_backend: str) -> AsyncIterator[Settings]:
    (tmp_path / "elsewhere").mkdir()
    async with a_database(kind, tmp_path / "elsewhere", laid=False) as fresh:
        yield fresh


async def run(script: str, file: Path, settings: Settings) -> subprocess.CompletedProcess[str]:
    return await asyncio.to_thread(
        subprocess.run,
        [str(DEPLOY / script), str(file)],
        env={**os.environ, "PARTLINE_DATABASE": settings.database},
        capture_output=True,
        text=True,
        check=False,
    )


async def told(client: Client) -> list[Any]:
    paths = ("salon", "chairs", "staff", "bookings", "changes", f"days/{DAY}")
    return [ok(await client.get(f"/v1/{path}")) for path in paths]


async def test_what_is_restored_is_the_book_as_it_was(
    settings: Settings, elsewhere: Settings, tmp_path: Path
) -> None:
    file = tmp_path / "kept"
    async with a_service(settings) as client:
        await furnish(client)
        await book(client, "one")
        before = await told(client)
        # The service runs on, and what comes later is not in it.
        done = await run("back-up", file, settings)
        assert done.returncode == 0, done.stderr
        assert file.stat().st_mode & 0o077 == 0
        await book(client, "two")
    again = await run("back-up", file, settings)
    assert (again.returncode, "already" in again.stderr) == (2, True)
    done = await run("restore", file, elsewhere)
    assert done.returncode == 0, done.stderr
    async with a_service(elsewhere) as client:
        assert await told(client) == before
        # The guard against double booking has come with it: the next booking finds its place.
        await book(client, "three")
        assert ok(await client.get(f"/v1/days/{DAY}"))["findings"] == []
    again = await run("restore", file, elsewhere)
    assert (again.returncode, "already" in again.stderr) == (2, True)


async def test_what_is_no_back_up_restores_nothing(
    settings: Settings, elsewhere: Settings, tmp_path: Path
) -> None:
    file = tmp_path / "letter"
    file.write_text("Dear salon, " * 200)
    done = await run("restore", file, elsewhere)
    assert done.returncode != 0
    if elsewhere.database.startswith("sqlite"):
        assert list((tmp_path / "elsewhere").iterdir()) == []


async def test_a_database_that_is_not_there_is_not_backed_up(tmp_path: Path) -> None:
    nowhere = Settings(database=f"sqlite:///{tmp_path}/nowhere.db")
    done = await run("back-up", tmp_path / "kept", nowhere)
    assert done.returncode != 0
    assert list(tmp_path.iterdir()) == []
