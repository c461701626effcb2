"""The migrations lay what the tables describe, and refuse databases that are not theirs."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import date
from importlib.resources import files
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from api.services.errors import ConflictError, StoreUnavailableError
from api.settings import Settings
from api.store import migrate
from api.store.engines import open_engines
from api.store.tables import LONGEST_STRETCH, metadata
from api.store.unit_of_work import SqlStore
from schemas.finished import FinishedVisitRecord
from schemas.takeoff import RateOverride
from tests.builders import a_chair, a_lead, a_setting

pytestmark = pytest.mark.anyio
FINISHED = FinishedVisitRecord(
    id="one", day=date(2026, 11, 27), technique="knotless", booked=200, actual=240
)


async def test_the_tables_are_as_described(store: SqlStore) -> None:
    def differences(connection: sa.Connection) -> list[object]:
        return list(compare_metadata(MigrationContext.configure(connection), metadata))

    async with store.engines.writer.begin() as connection:
        assert await connection.run_sync(differences) == []


async def test_laying_the_tables_again_changes_nothing(store: SqlStore) -> None:
    await store.prepare(migrate_first=True)
    level = await store.level()
    assert level.right
    assert level.found == migrate.wanted()


async def test_the_way_leads_back_and_forth(own_database: SqlStore) -> None:
    def back(connection: sa.Connection) -> None:
        command.downgrade(migrate._config(connection), "base")

    async with own_database.engines.writer.begin() as connection:
        await connection.run_sync(back)
        left = await connection.run_sync(lambda bound: sa.inspect(bound).get_table_names())
    assert left == ["alembic_version"]
    await own_database.prepare(migrate_first=True)
    assert (await own_database.level()).right


async def test_a_book_of_the_first_level_is_brought_up_and_keeps_what_it_holds(
    own_database: SqlStore,
) -> None:
    def back(connection: sa.Connection) -> None:
        command.downgrade(migrate._config(connection), "0001")

    async with own_database.writing() as unit:
        await unit.chairs.add(a_chair("chair-1"))
    async with own_database.engines.writer.begin() as connection:
        await connection.run_sync(back)
    assert (await own_database.level()).found == "0001"
    await own_database.prepare(migrate_first=True)
    assert (await own_database.level()).right
    async with own_database.writing() as unit:
        assert [chair.id for chair in await unit.chairs.all()] == ["chair-1"]
        await unit.rates.put(RateOverride(code="wash", value=45))
    async with own_database.reading() as unit:
        assert [rate.value for rate in await unit.rates.all()] == [45]


async def test_settings_of_a_rule_keep_their_labels_on_the_way_up_and_down(
    own_database: SqlStore,
) -> None:
    first, second = (a_setting("latest-start", label=label) for label in ("a", "b"))
    other = a_setting("turnaround", minutes=20)

    def to(level: str) -> Callable[[sa.Connection], None]:
        ways = {"0003": command.downgrade, "head": command.upgrade}
        return lambda connection: ways[level](migrate._config(connection), level)

    async with own_database.writing() as unit:
        for setting in (first, second, other):
            await unit.rules.put(setting)
    async with own_database.engines.writer.begin() as connection:
        await connection.run_sync(to("0003"))
        rows = await connection.execute(sa.text("SELECT id FROM rule ORDER BY id"))
        assert rows.scalars().all() == ["latest-start", "turnaround"]
        await connection.run_sync(to("head"))
        rows = await connection.execute(sa.text("SELECT id FROM rule ORDER BY id"))
        assert rows.scalars().all() == ["latest-start/a", "turnaround"]
    async with own_database.writing() as unit:
        await unit.rules.put(second)
        assert await unit.rules.all() == (first, second, other)


async def test_a_rate_or_a_finished_visit_is_no_change_of_the_book(store: SqlStore) -> None:
    async with store.writing() as unit:
        await unit.staff.add(a_lead("lead-1"))
    async with store.reading() as unit:
        before = unit.revision
    async with store.writing() as unit:
        await unit.rates.put(RateOverride(code="wash", value=45))
        await unit.finished.add("lead-1", FINISHED)
    async with store.reading() as unit:
        assert unit.revision == before
        assert await unit.finished.of("lead-1") == (FINISHED,)
        assert await unit.finished.of("lead-2") == ()


async def test_a_finished_visit_of_nobody_is_refused(store: SqlStore) -> None:
    with pytest.raises(ConflictError):
        async with store.writing() as unit:
            await unit.finished.add("nobody", FINISHED)


async def test_two_salons_share_no_rate_and_no_finished_visit(store: SqlStore) -> None:
    other = SqlStore(store.engines, f"{store.salon}-b")
    await other.prepare(migrate_first=False)
    for salon, value in ((store, 45), (other, 60)):
        async with salon.writing() as unit:
            await unit.staff.add(a_lead("lead-1"))
            await unit.rates.put(RateOverride(code="wash", value=value))
    async with store.writing() as unit:
        await unit.finished.add("lead-1", FINISHED)
    async with other.writing() as unit:
        assert [rate.value for rate in await unit.rates.all()] == [60]
        assert await unit.finished.of("lead-1") == ()
        assert not await unit.finished.remove("lead-1", FINISHED.id)
        await unit.rates.remove("wash")
    async with store.reading() as unit:
        assert [rate.value for rate in await unit.rates.all()] == [45]
        assert await unit.finished.of("lead-1") == (FINISHED,)


async def test_the_guard_against_double_booking_is_there(store: SqlStore) -> None:
    # Autogenerate does not notice when a trigger or an exclusion constraint is gone.
    async with store.engines.writer.begin() as connection:
        if connection.dialect.name == "postgresql":
            found = await connection.execute(
                sa.text("SELECT conname, condeferrable FROM pg_constraint WHERE contype = 'x'")
            )
            assert found.all() == [("occupancy_no_double_booking", True)]
        else:
            triggers = await connection.execute(
                sa.text(
                    "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' "
                    "AND tbl_name = 'occupancy' ORDER BY name"
                )
            )
            rows = triggers.all()
            assert [row.name for row in rows] == [
                "occupancy_no_double_booking_on_insert",
                "occupancy_no_double_booking_on_update",
            ]
            assert all(f"- {LONGEST_STRETCH}" in row.sql for row in rows)


async def test_a_database_of_a_later_version_is_refused(own_database: SqlStore) -> None:
    async with own_database.engines.writer.begin() as connection:
        await connection.execute(sa.text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(migrate.DatabaseTooNewError, match="level 9999"):
        await migrate.upgrade(own_database.engines.writer)
    assert not (await own_database.level()).right


async def test_somebody_elses_tables_are_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE recipes (name TEXT)")
    other.close()
    engines = open_engines(Settings(database=f"sqlite:///{path}"))
    with pytest.raises(migrate.NotOurDatabaseError, match="other tables"):
        await migrate.upgrade(engines.writer)
    await engines.dispose()


@pytest.mark.parametrize(
    ("name", "content", "error"),
    [
        ("letter.txt", "Dear salon, " * 200, migrate.NotOurDatabaseError),
        ("nowhere/book.db", None, StoreUnavailableError),
    ],
)
async def test_what_is_no_database_is_refused_with_a_sentence(
    tmp_path: Path, name: str, content: str | None, error: type[Exception]
) -> None:
    path = tmp_path / name
    if content is not None:
        path.write_text(content)
    engines = open_engines(Settings(database=f"sqlite:///{path}"))
    with pytest.raises(error) as refused:
        await migrate.upgrade(engines.writer)
    assert "sqlalche.me" not in str(refused.value)
    await engines.dispose()


def test_the_migrations_are_part_of_the_package() -> None:
    steps = files("api.store.migrations").joinpath("versions").iterdir()
    assert any(step.name.startswith("v0001") for step in steps)
    assert files("api.store.migrations").joinpath("script.py.mako").is_file()
