"""One transaction: all of it or nothing, counted once, and nothing lost between two."""

from __future__ import annotations

import asyncio

import pytest

from api.services.errors import AlreadyThereError
from api.store.unit_of_work import SqlStore
from schemas.hair import StockLine
from schemas.salon import Salon
from solver.takeoff import house_materials
from tests.api.store.book_rows import a_record, a_waiting_record, furnish
from tests.builders import a_chair, a_lead, a_shift, a_window

pytestmark = pytest.mark.anyio


async def test_a_block_that_raises_leaves_nothing(store: SqlStore) -> None:
    async def half_a_change() -> None:
        async with store.writing() as unit:
            await unit.chairs.add(a_chair("chair-1"))
            raise RuntimeError("the lights went out")

    with pytest.raises(RuntimeError):
        await half_a_change()
    async with store.reading() as unit:
        assert await unit.chairs.all() == ()
        assert unit.revision == 0


async def test_a_name_is_taken_once(store: SqlStore) -> None:
    async with store.writing() as unit:
        await unit.chairs.add(a_chair("chair-1"))

    async def two_of_which_one_is_there() -> None:
        async with store.writing() as unit:
            await unit.chairs.add(a_chair("chair-2"))
            await unit.chairs.add(a_chair("chair-1"))

    with pytest.raises(AlreadyThereError):
        await two_of_which_one_is_there()
    async with store.reading() as unit:
        assert [chair.id for chair in await unit.chairs.all()] == ["chair-1"]


async def test_what_is_written_is_read_back_whole(store: SqlStore) -> None:
    await furnish(store)
    record, shift = a_record("first"), a_shift()
    salon = Salon(name="Studio", zone="Europe/Lisbon", currency="EUR", hours=())
    async with store.writing() as unit:
        await unit.put_salon(salon)
        await unit.shifts.add(shift)
        await unit.bookings.add(record)
    async with store.reading() as unit:
        kept = await unit.bookings.get("first")
        assert kept is not None
        assert (kept.document, kept.version) == (record, 1)
        assert (await unit.salon()).document == salon  # type: ignore[union-attr]
        assert await unit.shifts.during(a_window("9:00", "9:05")) == (shift,)


async def test_the_book_counts_its_changes_once_for_each_transaction(store: SqlStore) -> None:
    await furnish(store)
    async with store.writing() as unit:
        assert unit.revision == 1
        await unit.bookings.add(a_waiting_record("one"))
        await unit.bookings.add(a_waiting_record("two"))
    async with store.reading() as unit:
        assert unit.revision == 2


async def test_the_shelf_is_no_part_of_the_book(store: SqlStore) -> None:
    material = house_materials()[0]
    async with store.writing() as unit:
        await unit.materials.put(material)
        await unit.stock.put(StockLine(material=material.id, on_hand_grams=100))
    async with store.reading() as unit:
        assert unit.revision == 0


async def test_reading_changes_nothing(store: SqlStore) -> None:
    async with store.reading() as unit:
        assert await unit.chairs.get("chair-1") is None
    async with store.reading() as unit:
        assert unit.revision == 0


async def test_a_change_raises_the_version(store: SqlStore) -> None:
    async with store.writing() as unit:
        await unit.chairs.add(a_chair("chair-1"))
    for expected in (2, 3):
        async with store.writing() as unit:
            assert await unit.chairs.put(a_chair("chair-1", name=f"Chair {expected}")) == expected


async def test_no_update_is_lost_between_many_writers(store: SqlStore) -> None:
    async with store.writing() as unit:
        await unit.staff.add(a_lead("lead-1", name="0"))

    async def add_one() -> None:
        async with store.writing() as unit:
            found = await unit.staff.get("lead-1")
            assert found is not None
            count = int(found.document.name)
            await asyncio.sleep(0)
            changed = found.document.model_copy(update={"name": str(count + 1)})
            await unit.staff.put(changed)

    await asyncio.gather(*(add_one() for _ in range(25)))
    async with store.reading() as unit:
        found = await unit.staff.get("lead-1")
        assert found is not None
        assert (found.document.name, found.version) == ("25", 26)


async def test_a_reader_sees_one_moment_of_the_book(store: SqlStore) -> None:
    async with store.reading() as seen:
        assert await seen.chairs.all() == ()
        async with store.writing() as unit:
            await unit.chairs.add(a_chair("chair-1"))
        assert await seen.chairs.all() == ()
        assert seen.revision == 0
    async with store.reading() as seen:
        assert len(await seen.chairs.all()) == 1


async def test_a_list_goes_on_where_its_page_ended(store: SqlStore) -> None:
    async with store.writing() as unit:
        for number in (3, 1, 2):
            await unit.chairs.add(a_chair(f"chair-{number}"))
    async with store.reading() as unit:
        assert [chair.id for chair in await unit.chairs.page(limit=2)] == ["chair-1", "chair-2"]
        rest = await unit.chairs.page(after="chair-2", limit=2)
        assert [chair.id for chair in rest] == ["chair-3"]


async def test_bookings_are_found_by_the_day_they_touch(store: SqlStore) -> None:
    await furnish(store)
    async with store.writing() as unit:
        await unit.bookings.add(a_record("placed", "9:00", 120))
        await unit.bookings.add(a_waiting_record("waiting"))
    async with store.reading() as unit:
        morning, noon = a_window("10:55", "12:00"), a_window("11:00", "12:00")
        assert [each.id for each in await unit.bookings.placed(morning)] == ["placed"]
        assert await unit.bookings.placed(noon) == ()
        assert [each.id for each in await unit.bookings.waiting(noon)] == ["waiting"]
        listed = await unit.bookings.page(window=noon, status=None, after=None, limit=10)
        assert [each.id for each in listed] == ["waiting"]
