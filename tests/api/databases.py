"""Fresh databases for tests: SQLite in a folder, PostgreSQL in a database of its own.

The tables are laid once by the migrations and copied from then on: that they can be laid is for
`store/test_migrations` and the command line's tests to say, not for every test anew.
"""

from __future__ import annotations

import asyncio
import os
from collections.abc import AsyncIterator, Callable, Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager, contextmanager
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, TypeVar
from urllib.parse import urlsplit, urlunsplit
from uuid import uuid4

import asyncpg
import pytest

from api.settings import Settings
from api.store.engines import open_engines
from api.store.unit_of_work import SqlStore

T = TypeVar("T")
SERVER = os.environ.get("PARTLINE_TEST_POSTGRESQL", "postgresql://postgres@127.0.0.1:5432/postgres")
KINDS = ("sqlite", pytest.param("postgresql", marks=pytest.mark.service))
"""For `parametrize`: both stores; the second needs a server, and CI must have one."""


@asynccontextmanager
async def a_database(kind: str, folder: Path, *, laid: bool = True) -> AsyncIterator[Settings]:
    """Settings that name a database, which is gone afterwards; empty unless its tables are laid."""
    if kind == "sqlite":
        settings = Settings(database=f"sqlite:///{folder}/book.db")
        if laid:
            lay_sqlite(settings)
        yield settings
        return
    name = await _create(_template() if laid else "template1")
    try:
        yield _named(name)
    finally:
        await _drop(name)


@asynccontextmanager
async def a_store(kind: str, folder: Path) -> AsyncIterator[SqlStore]:
    """A store over a fresh database with the tables laid."""
    async with a_database(kind, folder) as settings:
        store = SqlStore(open_engines(settings), settings.salon)
        try:
            await store.prepare(migrate_first=True)
            yield store
        finally:
            await store.close()


def lay_sqlite(settings: Settings) -> None:
    """Put a database with the tables laid where there is no file yet."""
    file = Path(settings.database.removeprefix("sqlite:///"))
    if file.parent.is_dir() and not file.exists():
        file.write_bytes(_laid())


@cache
def _laid() -> bytes:
    with TemporaryDirectory() as folder:
        file = Path(folder) / "book.db"
        _aside(lambda: _lay(Settings(database=f"sqlite:///{file}")))
        return file.read_bytes()


@cache
def _template() -> str:
    """A database of PostgreSQL to copy; `drop_template` drops it when the tests end."""
    name = _aside(_create)
    _aside(lambda: _lay(_named(name)))
    return name


def drop_template() -> None:
    if _template.cache_info().currsize:
        name = _template()
        _aside(lambda: _drop(name))


@contextmanager
def a_shared_postgresql() -> Iterator[Settings]:
    """One database with the tables laid, for many tests: each takes a salon of its own."""
    name = _aside(_create)
    try:
        settings = _named(name)
        _aside(lambda: _lay(settings))
        yield settings
    finally:
        _aside(lambda: _drop(name))


def _aside(work: Callable[[], Coroutine[Any, Any, T]]) -> T:
    """Runs in a loop of its own, whether or not one is running here."""
    with ThreadPoolExecutor(1) as thread:
        return thread.submit(lambda: asyncio.run(work())).result()


def a_salon_of_its_own(shared: Settings) -> Settings:
    return shared.model_copy(update={"salon": f"salon-{uuid4().hex[:12]}"})


async def _lay(settings: Settings) -> None:
    store = SqlStore(open_engines(settings), settings.salon)
    await store.prepare(migrate_first=True)
    await store.close()


async def _create(template: str = "template1") -> str:
    name = f"partline_test_{uuid4().hex[:12]}"
    try:
        admin = await asyncpg.connect(SERVER, timeout=5)
    except (TimeoutError, OSError, asyncpg.PostgresError) as absent:
        pytest.skip(f"no PostgreSQL answers at PARTLINE_TEST_POSTGRESQL: {absent}")
    await admin.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
    await admin.close()
    return name


async def _drop(name: str) -> None:
    admin = await asyncpg.connect(SERVER, timeout=5)
    await admin.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
    await admin.close()


def _named(name: str) -> Settings:
    parts = urlsplit(SERVER)
    return Settings(database=urlunsplit(parts._replace(path=f"/{name}")))
