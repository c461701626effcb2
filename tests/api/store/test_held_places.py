"""The database itself refuses that a hold and a booking share a chair or a person."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
import sqlalchemy as sa
from sqlalchemy.exc import IntegrityError

from api.services.errors import AlreadyThereError, DoubleBookedError
from api.services.occupancy import occupied_by
from api.store.tables import hold, occupancy
from api.store.unit_of_work import SqlStore
from schemas.holds import Hold
from schemas.openings import Opening
from tests.api.store.book_rows import NOON, a_record, furnish, write_past
from tests.builders import a_window

pytestmark = pytest.mark.anyio


class MovedClock:
    """Says what it is told."""

    def __init__(self) -> None:
        self.instant = NOON

    def now(self) -> datetime:
        return self.instant


def a_hold(name: str, start: str = "9:00", minutes: int = 10, **place: object) -> Hold:
    """The lead and chair-1 are held for a visit of two hours."""
    record = a_record(name, start, **place)
    assert record.placed is not None
    window = record.placed.window
    opening = Opening(
        id="opening-1",
        start=window.start,
        finish=window.end,
        chair=record.placed.chair,
        lead=record.placed.lead,
        assistant=None,
        help_minutes=0,
        visit=record.placed,
        breaks=(),
        cost=0,
        reasons=(),
    )
    until = NOON + timedelta(minutes=minutes)
    return Hold(id=name, request=record.request, opening=opening, held_at=NOON, until=until)


async def put(store: SqlStore, held: Hold) -> None:
    async with store.writing() as unit:
        await unit.holds.add(held, occupied_by(held.opening.visit, ()))


async def rows(store: SqlStore) -> tuple[int, int]:
    """Holds on record, and what they take."""
    async with store.engines.writer.begin() as connection:
        holds = await connection.execute(
            sa.select(sa.func.count()).where(hold.c.salon_id == store.salon)
        )
        taken = await connection.execute(
            sa.select(sa.func.count()).where(
                occupancy.c.salon_id == store.salon, occupancy.c.hold_id.is_not(None)
            )
        )
        return holds.scalar_one(), taken.scalar_one()


@pytest.fixture
async def held(store: SqlStore) -> SqlStore:
    """Chair 1 and lead 1 are held from 9:00 to 11:00; `second` is a booking without a place."""
    store.clock = MovedClock()
    await furnish(store)
    async with store.writing() as unit:
        await unit.bookings.add(a_record("second", "13:00", chair="chair-2", lead="lead-2"))
    await put(store, a_hold("first"))
    return store


@pytest.mark.parametrize("resource", ["chair:chair-1", "staff:lead-1"])
async def test_a_row_of_a_booking_over_a_hold_is_refused(held: SqlStore, resource: str) -> None:
    with pytest.raises(IntegrityError):
        await write_past(held, "second", "10:55", "12:00", resource)
    await write_past(held, "second", "11:00", "12:00", resource)


async def test_a_hold_over_a_booking_is_refused(held: SqlStore) -> None:
    await write_past(held, "second", "12:00", "13:30")
    with pytest.raises(DoubleBookedError):
        await put(held, a_hold("third", "12:00"))
    assert await rows(held) == (1, 2)


async def test_a_hold_over_a_hold_is_refused(held: SqlStore) -> None:
    with pytest.raises(DoubleBookedError):
        await put(held, a_hold("third", "10:00", chair="chair-2"))


async def test_a_visit_holds_one_place(held: SqlStore) -> None:
    with pytest.raises(AlreadyThereError):
        await put(held, a_hold("first", "15:00"))


async def test_what_is_taken_belongs_to_one_of_a_booking_a_break_and_a_hold(
    held: SqlStore,
) -> None:
    async with held.engines.writer.begin() as connection:
        both = (
            sa.update(occupancy).where(occupancy.c.hold_id == "first").values(booking_id="second")
        )
        with pytest.raises(IntegrityError):
            await connection.execute(both)


async def test_with_its_hold_goes_all_it_took(held: SqlStore) -> None:
    assert await rows(held) == (1, 2)
    async with held.writing() as unit:
        assert await unit.holds.remove("first")
    assert await rows(held) == (0, 0)
    await write_past(held, "second", "9:00", "11:00")


async def test_a_hold_is_there_until_the_instant_it_ends(held: SqlStore) -> None:
    morning = a_window("9:00", "10:00")
    for minutes, there in ((9.999, True), (10, False)):
        held.clock.instant = NOON + timedelta(minutes=minutes)  # type: ignore[attr-defined]
        async with held.reading() as unit:
            assert (await unit.holds.get("first") is not None) is there
            assert bool(await unit.holds.during(morning)) is there


async def test_a_write_lets_go_of_what_is_over_and_counts_it_once(held: SqlStore) -> None:
    async with held.reading() as unit:
        before = unit.revision
    held.clock.instant = NOON + timedelta(minutes=10)  # type: ignore[attr-defined]
    for _ in range(2):
        async with held.writing() as unit:
            assert unit.revision == before + 1
    assert await rows(held) == (0, 0)
    await put(held, a_hold("third", minutes=20))


async def test_salons_do_not_let_go_of_each_others_holds(held: SqlStore) -> None:
    clock = MovedClock()
    clock.instant = NOON + timedelta(hours=1)
    other = SqlStore(held.engines, f"{held.salon}-b", clock)
    await other.prepare(migrate_first=False)
    await other.let_go()
    assert await rows(held) == (1, 2)
