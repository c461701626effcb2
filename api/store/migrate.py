"""Brings a database to the level of this version, and says at which level one is."""

from __future__ import annotations

import sqlite3

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, exc, inspect, text
from sqlalchemy.ext.asyncio import AsyncEngine

from api.services.errors import StoreUnavailableError

# Any number will do, as long as every version of this software uses the same.
_ADVISORY_LOCK = 7_211_018


class DatabaseTooNewError(StoreUnavailableError):
    """A later version of the software has been at work on this database."""


class NotOurDatabaseError(StoreUnavailableError):
    """There are tables of somebody else's in it."""


def _config(connection: Connection | None = None) -> Config:
    config = Config()
    config.set_main_option("script_location", "api.store:migrations")
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def wanted() -> str:
    """The level of this version."""
    head = ScriptDirectory.from_config(_config()).get_current_head()
    if head is None:
        raise RuntimeError("the migrations are missing from the package")
    return head


def found(connection: Connection) -> str | None:
    """The level the database is at; None where nothing has been laid yet."""
    return MigrationContext.configure(connection).get_current_revision()


async def upgrade(engine: AsyncEngine) -> None:
    """Lay or bring up the tables, in one transaction. Doing it again changes nothing.

    Raises DatabaseTooNewError, NotOurDatabaseError, or StoreUnavailableError when nobody answers.
    """
    _require_openable(engine)
    try:
        async with engine.begin() as connection:
            await connection.run_sync(_upgrade)
    except exc.DBAPIError as error:
        if "not a database" in str(error.orig):
            raise NotOurDatabaseError("the file is not a database; name another one") from error
        raise StoreUnavailableError(f"the database cannot be used: {error.orig}") from error
    except OSError as unreachable:
        raise StoreUnavailableError(
            f"the database cannot be reached: {unreachable}"
        ) from unreachable


def _require_openable(engine: AsyncEngine) -> None:
    """A file is opened once without the driver, whose thread outlives a failure and complains."""
    path = engine.url.database
    if engine.dialect.name != "sqlite" or not path or path == ":memory:":
        return
    try:
        sqlite3.connect(path).close()
    except sqlite3.Error as closed:
        raise StoreUnavailableError(f"{path} cannot be opened: {closed}") from closed


def _upgrade(connection: Connection) -> None:
    if connection.dialect.name == "postgresql":
        # Two services that start at once must not both lay the tables.
        connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _ADVISORY_LOCK})
    level = found(connection)
    tables = set(inspect(connection).get_table_names())
    if level is None and tables - {"alembic_version"}:
        raise NotOurDatabaseError("there are other tables in the database; name an empty one")
    known = {step.revision for step in ScriptDirectory.from_config(_config()).walk_revisions()}
    if level is not None and level not in known:
        raise DatabaseTooNewError(
            f"the database is at level {level}, this version knows levels up to {wanted()}: "
            "use the newer version, or another database"
        )
    command.upgrade(_config(connection), "head")
