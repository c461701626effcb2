"""Engines: one that writes, one that reads.

SQLite (sqlite.org/lang_transaction.html, /wal.html): the driver's own transaction handling is
switched off, since it loses updates in silence; every transaction that may write says
`BEGIN IMMEDIATE`, so that two writers queue instead of one of them failing half way. One connection
writes and waits its turn in the pool, several read beside it.

Errors hide the parameters of their statements, since errors are logged and clients have names.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, event
from sqlalchemy.ext.asyncio import AsyncEngine, create_async_engine

from api.settings import Settings

READERS = 4


@dataclass(frozen=True)
class Engines:
    """Dispose of them when done; nothing is connected before the first use."""

    writer: AsyncEngine
    reader: AsyncEngine

    async def dispose(self) -> None:
        await self.reader.dispose()
        await self.writer.dispose()


def open_engines(settings: Settings) -> Engines:
    """The engines of a service; connects to nothing yet."""
    if settings.database_url.startswith("sqlite"):
        return _sqlite(settings)
    return _postgresql(settings)


def _sqlite(settings: Settings) -> Engines:
    url, wait = settings.database_url, settings.busy_timeout
    writer = create_async_engine(
        url,
        hide_parameters=True,
        pool_size=1,
        max_overflow=0,
        pool_timeout=wait,
        connect_args={"timeout": wait},
    )
    reader = create_async_engine(
        url,
        hide_parameters=True,
        pool_size=READERS,
        max_overflow=0,
        pool_timeout=wait,
        connect_args={"timeout": wait},
    )
    event.listen(writer.sync_engine, "connect", _on_connect(wait, read_only=False))
    event.listen(writer.sync_engine, "begin", _begin("BEGIN IMMEDIATE"))
    event.listen(reader.sync_engine, "connect", _on_connect(wait, read_only=True))
    event.listen(reader.sync_engine, "begin", _begin("BEGIN"))
    return Engines(writer, reader)


def _on_connect(wait: float, *, read_only: bool) -> Callable[[Any, Any], None]:
    def prepare(connection: Any, _record: Any) -> None:
        connection.isolation_level = None
        cursor = connection.cursor()
        cursor.execute(f"PRAGMA busy_timeout = {int(wait * 1000)}")
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.execute("PRAGMA synchronous = NORMAL")
        if read_only:
            cursor.execute("PRAGMA query_only = ON")
        else:
            cursor.execute("PRAGMA journal_mode = WAL")
            # Names that are erased are not left on pages that are free.
            cursor.execute("PRAGMA secure_delete = ON")
        cursor.close()

    return prepare


def _begin(statement: str) -> Callable[[Connection], None]:
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql(statement)

    return begin


def _postgresql(settings: Settings) -> Engines:
    wait = settings.busy_timeout
    timeouts = {"server_settings": {"lock_timeout": f"{int(wait * 1000)}ms"}, "timeout": wait}
    writer = create_async_engine(
        settings.database_url,
        hide_parameters=True,
        pool_pre_ping=True,
        pool_timeout=wait,
        connect_args=timeouts,
    )
    # A reading unit of work sees one moment of the book, however many questions it asks.
    reader = writer.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
    return Engines(writer, reader)
