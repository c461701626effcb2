"""Every change is on record, in the transaction of the change, and stays there."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
import sqlalchemy as sa
from sqlalchemy import exc

from api.services.callers import CALLER, Caller
from api.store.tables import change, metadata
from api.store.unit_of_work import SqlStore, SqlUnitOfWork
from schemas.changes import Change
from schemas.finished import FinishedVisitRecord
from schemas.takeoff import RateOverride
from tests.api.store.book_rows import a_record
from tests.builders import a_chair, a_lead, a_meal, a_setting, a_shift, a_window

pytestmark = pytest.mark.anyio
ASIDE = {
    "salon",
    "answered",
    "calendar_feed",
    "change",
    "delivery",
    "job",
    "erasure",
    "never",
    "occupancy",
    "plan",
    "repair",
    "session",
    "stock_entry",
    "token",
    "webhook",
}
"""No documents of the salon, derived from them, or on record without their documents."""


async def _record(store: SqlStore, **filters: Any) -> tuple[Change, ...]:
    wanted = {"kind": None, "name": None, "who": None, "window": None, "after": None}
    async with store.reading() as unit:
        return await unit.changes.page(**{**wanted, "limit": 500, **filters})


async def _fill(unit: SqlUnitOfWork) -> None:
    await unit.chairs.add(a_chair("chair-1"))
    await unit.chairs.add(a_chair("chair-2"))
    await unit.staff.add(a_lead("lead-1"))
    await unit.shifts.add(a_shift("lead-1"))
    await unit.rules.put(a_setting("turnaround", minutes=20))
    await unit.rates.put(RateOverride(code="wash", value=45))
    await unit.finished.add(
        "lead-1",
        FinishedVisitRecord(
            id="one", day=date(2026, 11, 27), technique="knotless", booked=200, actual=240
        ),
    )
    await unit.bookings.add(a_record("visit-1"))
    await unit.breaks.add((a_meal("12:00", "12:30"),))


async def test_the_record_replays_to_the_tables(store: SqlStore) -> None:
    async with store.writing() as unit:
        await _fill(unit)
    async with store.writing() as unit:
        await unit.chairs.put(a_chair("chair-1", name="By the window"))
        await unit.chairs.remove("chair-2")
        await unit.rates.put(RateOverride(code="wash", value=50))
        await unit.finished.remove("lead-1", "one")
        await unit.breaks.clear(a_window("9:00", "18:00"))
        await unit.breaks.add((a_meal("13:00", "13:30"),))
    replayed: dict[str, dict[str, Any]] = {}
    for told in reversed(await _record(store)):
        things = replayed.setdefault(told.kind, {})
        assert things.get(told.name) == told.before
        things[told.name] = told.after
    async with store.engines.reader.begin() as connection:
        for table in metadata.sorted_tables:
            if table.name in ASIDE:
                continue
            found = await connection.execute(
                sa.select(table.c.document).where(table.c.salon_id == store.salon)
            )
            kept = replayed.get(table.name.replace("_", "-"), {}).values()
            left = [document for document in kept if document is not None]
            assert sorted(map(str, found.scalars())) == sorted(map(str, left)), table.name


async def test_it_says_who_did_what_for_which_operation(store: SqlStore) -> None:
    token = CALLER.set(Caller("ines", "desk", "addChair"))
    try:
        async with store.writing() as unit:
            await unit.chairs.add(a_chair("chair-1"))
    finally:
        CALLER.reset(token)
    told = (await _record(store))[0]
    assert (told.who, told.role, told.operation) == ("ines", "desk", "addChair")
    assert (told.kind, told.name, told.act) == ("chair", "chair-1", "added")
    assert told.before is None
    assert told.after is not None
    assert told.after["id"] == "chair-1"


async def _fail(store: SqlStore) -> None:
    async with store.writing() as unit:
        await unit.chairs.add(a_chair("chair-1"))
        raise ZeroDivisionError


async def test_what_is_rolled_back_leaves_no_record(store: SqlStore) -> None:
    with pytest.raises(ZeroDivisionError):
        await _fail(store)
    assert await _record(store) == ()


async def test_what_stays_as_it_was_is_no_change(store: SqlStore) -> None:
    for _ in range(2):
        async with store.writing() as unit:
            await unit.chairs.put(a_chair("chair-1"))
    assert len(await _record(store)) == 1


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE change SET who = 'nobody'",
        "DELETE FROM change",
        "INSERT OR REPLACE INTO change SELECT * FROM change",
        "REPLACE INTO change (id, salon_id, at, who, kind, name, act) "
        "SELECT id, salon_id, at, 'nobody', kind, name, act FROM change",
        "TRUNCATE change",
        "WITH gone AS (DELETE FROM change RETURNING id) SELECT count(*) FROM gone",
    ],
)
async def test_the_database_refuses_to_change_the_record(store: SqlStore, statement: str) -> None:
    """Also where the words are the other database's own: those are refused as they are no SQL."""
    async with store.writing() as unit:
        await unit.chairs.add(a_chair("chair-1"))
    before = await _record(store)
    assert len(before) == 1
    with pytest.raises(exc.DBAPIError):
        async with store.engines.writer.begin() as connection:
            await connection.execute(sa.text(statement))
    assert await _record(store) == before


async def test_it_is_refused_because_it_is_kept(store: SqlStore) -> None:
    async with store.writing() as unit:
        await unit.chairs.add(a_chair("chair-1"))
    for statement in (sa.update(change).values(who="nobody"), sa.delete(change)):
        with pytest.raises(exc.IntegrityError, match="the record of changes is kept"):
            async with store.engines.writer.begin() as connection:
                await connection.execute(statement)


async def test_two_salons_see_nothing_of_each_others_record(store: SqlStore) -> None:
    other = SqlStore(store.engines, f"{store.salon}-b")
    await other.prepare(migrate_first=False)
    async with other.writing() as unit:
        await unit.chairs.add(a_chair("chair-1"))
    assert await _record(store) == ()
    assert len(await _record(other)) == 1
