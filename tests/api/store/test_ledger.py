"""The stock ledger stays as it is written, whoever asks the database to change it."""

from __future__ import annotations

import pytest
import sqlalchemy as sa
from sqlalchemy import exc

from api.services.ledger_entries import keep_material, settle
from api.store.tables import stock_entry
from api.store.unit_of_work import SqlStore
from schemas.hair import StockOrder
from schemas.ledger import StockEntry
from solver.takeoff import house_materials
from tests.builders import DAY

pytestmark = pytest.mark.anyio
FILL = house_materials()[0]


async def _count(store: SqlStore, grams: float, *orders: StockOrder) -> None:
    async with store.writing() as unit:
        await keep_material(unit, FILL)
        await settle(unit, FILL.id, grams, orders)


async def _entries(store: SqlStore) -> tuple[StockEntry, ...]:
    async with store.reading() as unit:
        return await unit.ledger.page(FILL.id, after=None, limit=100)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE stock_entry SET on_hand = 0",
        "DELETE FROM stock_entry",
        "INSERT OR REPLACE INTO stock_entry SELECT * FROM stock_entry",
        "TRUNCATE stock_entry",
    ],
)
async def test_the_database_refuses_to_change_an_entry(store: SqlStore, statement: str) -> None:
    """Also where the words are the other database's own: those are refused as they are no SQL."""
    await _count(store, 100)
    before = await _entries(store)
    assert len(before) == 1
    with pytest.raises(exc.DBAPIError):
        async with store.engines.writer.begin() as connection:
            await connection.execute(sa.text(statement))
    assert await _entries(store) == before


async def test_it_is_refused_because_it_is_kept(store: SqlStore) -> None:
    await _count(store, 100)
    for statement in (sa.update(stock_entry).values(on_hand=1), sa.delete(stock_entry)):
        with pytest.raises(exc.IntegrityError, match="the stock ledger is kept"):
            async with store.engines.writer.begin() as connection:
                await connection.execute(statement)


async def test_counting_the_same_again_is_no_entry(store: SqlStore) -> None:
    order = StockOrder(grams=250.5, arrives=DAY)
    for _ in range(2):
        await _count(store, 82.125, order)
    entries = await _entries(store)
    assert [(each.on_hand_grams, each.on_order_grams) for each in entries] == [
        (0, 250.5),
        (82.125, 0),
    ]
