"""The database itself refuses double booking, whatever writes to it."""

from __future__ import annotations

from uuid import uuid4

import pytest
import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError

from api.services.errors import ConflictError, DoubleBookedError
from api.services.occupancy import occupied_by
from api.store.mappers import minute
from api.store.tables import booking, occupancy, salon
from api.store.unit_of_work import SqlStore
from tests.api.store.book_rows import a_record, furnish, write_past
from tests.builders import a_meal, a_window, at

pytestmark = pytest.mark.anyio


@pytest.fixture
async def taken(store: SqlStore) -> SqlStore:
    """Chair 1 and lead 1 are taken from 9:00 to 11:00 by `first`; `second` has no place yet."""
    await furnish(store)
    first, second = a_record("first"), a_record("second", "13:00", chair="chair-2", lead="lead-2")
    async with store.writing() as unit:
        await unit.bookings.add(first)
        await unit.bookings.add(second)
        assert first.placed is not None
        await unit.bookings.occupy("first", occupied_by(first.placed, ()))
    return store


@pytest.mark.parametrize(
    ("start", "end", "resource"),
    [
        ("9:00", "11:00", "chair:chair-1"),
        ("10:55", "12:00", "chair:chair-1"),
        ("8:00", "9:05", "chair:chair-1"),
        ("8:00", "12:00", "chair:chair-1"),
        ("9:30", "9:35", "chair:chair-1"),
        ("10:00", "12:00", "staff:lead-1"),
    ],
)
async def test_a_row_that_overlaps_is_refused(
    taken: SqlStore, start: str, end: str, resource: str
) -> None:
    with pytest.raises(IntegrityError):
        await write_past(taken, "second", start, end, resource)


@pytest.mark.parametrize(
    ("start", "end", "resource"),
    [
        ("11:00", "12:00", "chair:chair-1"),  # half-open: it begins when the other ends
        ("8:00", "9:00", "chair:chair-1"),
        ("9:00", "11:00", "chair:chair-2"),
        ("9:00", "11:00", "staff:lead-2"),
    ],
)
async def test_a_row_beside_it_is_taken(
    taken: SqlStore, start: str, end: str, resource: str
) -> None:
    await write_past(taken, "second", start, end, resource)


async def test_a_row_cannot_be_moved_onto_another(taken: SqlStore) -> None:
    await write_past(taken, "second", "11:00", "12:00")
    moved = (
        sa.update(occupancy)
        .where(occupancy.c.salon_id == taken.salon, occupancy.c.booking_id == "second")
        .values(starts_at=minute(at("10:55")))
    )
    with pytest.raises(IntegrityError):
        async with taken.engines.writer.begin() as connection:
            await connection.execute(moved)


async def test_a_row_cannot_be_handed_to_a_chair_that_is_taken(taken: SqlStore) -> None:
    await write_past(taken, "second", "9:00", "12:00", "chair:chair-2")
    handed = (
        sa.update(occupancy)
        .where(occupancy.c.salon_id == taken.salon, occupancy.c.booking_id == "second")
        .values(resource="chair:chair-1")
    )
    with pytest.raises(IntegrityError):
        async with taken.engines.writer.begin() as connection:
            await connection.execute(handed)


async def test_a_row_may_be_stretched_within_itself(taken: SqlStore) -> None:
    stretched = (
        sa.update(occupancy)
        .where(occupancy.c.salon_id == taken.salon, occupancy.c.booking_id == "first")
        .values(ends_at=minute(at("12:00")))
    )
    async with taken.engines.writer.begin() as connection:
        assert (await connection.execute(stretched)).rowcount == 2


async def test_another_salon_has_chairs_of_its_own(taken: SqlStore) -> None:
    other = f"other-{uuid4().hex[:8]}"
    async with taken.engines.writer.begin() as connection:
        await connection.execute(sa.insert(salon).values(id=other, revision=0, version=0))
        columns = {"version": 1, "document": {}, "status": "TENTATIVE"}
        asked = {"asked_from": 0, "asked_to": 1}
        await connection.execute(
            sa.insert(booking).values(salon_id=other, id="theirs", **columns, **asked)
        )
    theirs = SqlStore(taken.engines, other)
    await write_past(theirs, "theirs", "9:00", "11:00")


async def test_nobody_rests_while_she_works(taken: SqlStore) -> None:
    with pytest.raises(DoubleBookedError):
        async with taken.writing() as unit:
            await unit.breaks.add([a_meal("10:30", "11:00")])


async def test_nobody_works_while_she_rests(taken: SqlStore) -> None:
    async with taken.writing() as unit:
        await unit.breaks.add([a_meal("12:00", "12:30")])
    with pytest.raises(IntegrityError):
        await write_past(taken, "second", "12:15", "13:00", "staff:lead-1")


async def test_a_break_inside_braiding_is_a_gap_in_the_work(store: SqlStore) -> None:
    await furnish(store)
    record = a_record("first", minutes=240, stretch=30)
    assert record.placed is not None
    meal = a_meal("11:00", "11:30", inside="first")
    async with store.writing() as unit:
        await unit.bookings.add(record)
        await unit.bookings.occupy("first", occupied_by(record.placed, [meal]))
        await unit.breaks.add([meal])
    with pytest.raises(IntegrityError):
        await write_past(store, "first", "11:00", "11:30", "staff:lead-1")


async def test_a_stretch_longer_than_a_day_is_refused(taken: SqlStore) -> None:
    # The guard looks back no further than a day, so nothing longer may get in.
    with pytest.raises(IntegrityError):
        await write_past(taken, "second", "12:00", "48:00", "chair:chair-2")


async def test_two_visits_swap_chairs_in_one_transaction(store: SqlStore) -> None:
    await furnish(store)
    first, second = a_record("first"), a_record("second", chair="chair-2", lead="lead-2")
    async with store.writing() as unit:
        for record in (first, second):
            assert record.placed is not None
            await unit.bookings.add(record)
            await unit.bookings.occupy(record.id, occupied_by(record.placed, ()))
    async with store.writing() as unit:
        await unit.bookings.free(["first", "second"])
        for record, chair in ((first, "chair-2"), (second, "chair-1")):
            assert record.placed is not None
            moved = record.placed.model_copy(update={"chair": chair})
            await unit.bookings.occupy(record.id, occupied_by(moved, ()))
    with pytest.raises(IntegrityError):
        await write_past(store, "first", "9:00", "9:30", "chair:chair-1")


async def test_a_swap_that_fails_leaves_everything_where_it_was(taken: SqlStore) -> None:
    same = occupied_by(a_record("first").placed, ())  # type: ignore[arg-type]

    async def swap_onto_one_chair() -> None:
        async with taken.writing() as unit:
            await unit.bookings.free(["first"])
            await unit.bookings.occupy("first", same)
            await unit.bookings.occupy("second", same)

    with pytest.raises(DoubleBookedError):
        await swap_onto_one_chair()
    with pytest.raises(IntegrityError):
        await write_past(taken, "second", "9:00", "9:30")


async def test_what_is_freed_can_be_taken(taken: SqlStore) -> None:
    async with taken.writing() as unit:
        await unit.bookings.free(["first"])
    await write_past(taken, "second", "9:00", "11:00")


async def test_a_stretch_belongs_to_a_booking_that_is_there(taken: SqlStore) -> None:
    with pytest.raises(IntegrityError):
        await write_past(taken, "nobody", "15:00", "16:00")


async def test_a_person_with_a_break_cannot_vanish(taken: SqlStore) -> None:
    async with taken.writing() as unit:
        await unit.breaks.add([a_meal("12:00", "12:30")])
    with pytest.raises(ConflictError):
        async with taken.writing() as unit:
            await unit.staff.remove("lead-1")


async def test_the_guard_finds_what_began_long_before(taken: SqlStore) -> None:
    async with taken.writing() as unit:
        await unit.bookings.free(["first"])
    await write_past(taken, "first", "0:00", "24:00", "chair:chair-2")
    assert a_window("23:55", "24:00").minutes == 5
    with pytest.raises(IntegrityError):
        await write_past(taken, "second", "23:55", "24:05", "chair:chair-2")
