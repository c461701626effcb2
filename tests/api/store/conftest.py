"""A store for each test, in SQLite and in PostgreSQL."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest

from api.settings import Settings
from api.store.engines import open_engines
from api.store.unit_of_work import SqlStore
from tests.api.databases import KINDS, a_salon_of_its_own, a_shared_postgresql, a_store


@pytest.fixture
def anyio_backend() -> str:
    return "asyncio"


@pytest.fixture(scope="session")
def shared_postgresql() -> Iterator[Settings]:
    with a_shared_postgresql() as settings:
        yield settings


@pytest.fixture(params=KINDS)
async def store(
    request: pytest.FixtureRequest, tmp_path: Path, anyio_backend: str
) -> AsyncIterator[SqlStore]:
    """A salon that nobody else writes to."""
    if request.param == "sqlite":
        async with a_store("sqlite", tmp_path) as fresh:
            yield fresh
        return
    settings = a_salon_of_its_own(request.getfixturevalue("shared_postgresql"))
    fresh = SqlStore(open_engines(settings), settings.salon)
    await fresh.prepare(migrate_first=False)
    yield fresh
    await fresh.close()


@pytest.fixture(params=KINDS)
async def own_database(
    request: pytest.FixtureRequest, tmp_path: Path, anyio_backend: str
) -> AsyncIterator[SqlStore]:
    """A database that nobody else uses, for tests that change its tables."""
    async with a_store(request.param, tmp_path) as fresh:
        yield fresh
