"""The stock ledger: rows are added, and the database refuses to change or delete one.

Milligrams are whole numbers, so that a balance is the exact sum of its entries.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.services.callers import CALLER
from api.services.ports import Balance, LedgerEntry
from api.store.answers import milliseconds
from api.store.tables import stock_entry
from schemas.ledger import EntryKind, StockEntry


class LedgerTable:
    """The ledger of one salon."""

    def __init__(self, connection: AsyncConnection, salon: str, now: datetime) -> None:
        self.connection = connection
        self.salon = salon
        self.now = now

    async def write(self, entries: Sequence[LedgerEntry]) -> tuple[StockEntry, ...]:
        written = []
        for entry in entries:
            row = await self.connection.execute(
                sa.insert(stock_entry)
                .values(
                    salon_id=self.salon,
                    material_id=entry.material,
                    at=milliseconds(self.now),
                    who=CALLER.get().name,
                    kind=entry.kind.value,
                    on_hand=entry.on_hand,
                    on_order=entry.on_order,
                    arrives=None if entry.arrives is None else entry.arrives.isoformat(),
                    reason=entry.reason,
                    booking_id=entry.booking,
                    expected=entry.expected,
                )
                .returning(*stock_entry.c)
            )
            written.append(_entry(row.one()))
        return tuple(written)

    async def page(self, material: str, *, after: int | None, limit: int) -> tuple[StockEntry, ...]:
        query = sa.select(stock_entry).where(self._of(material))
        if after is not None:
            query = query.where(stock_entry.c.id < after)
        found = await self.connection.execute(query.order_by(stock_entry.c.id.desc()).limit(limit))
        return tuple(_entry(row) for row in found)

    async def balance(self, material: str) -> Balance:
        columns = stock_entry.c
        on_hand = await self.connection.execute(
            sa.select(sa.func.coalesce(sa.func.sum(columns.on_hand), 0)).where(self._of(material))
        )
        orders = await self.connection.execute(
            sa.select(columns.arrives, sa.func.sum(columns.on_order))
            .where(self._of(material), columns.arrives.is_not(None))
            .group_by(columns.arrives)
            .order_by(columns.arrives)
        )
        return Balance(
            on_hand=int(on_hand.scalar_one()),
            on_order={date.fromisoformat(day): int(total) for day, total in orders if total},
        )

    async def used(self, bookings: Iterable[str] | None = None) -> dict[str, dict[str, int]]:
        columns = stock_entry.c
        query = (
            sa.select(columns.booking_id, columns.material_id, sa.func.sum(columns.on_hand))
            .where(columns.salon_id == self.salon, columns.kind == EntryKind.USE.value)
            .group_by(columns.booking_id, columns.material_id)
            .order_by(columns.booking_id, columns.material_id)
        )
        if bookings is not None:
            query = query.where(columns.booking_id.in_(tuple(bookings)))
        used: dict[str, dict[str, int]] = {}
        for booking, material, total in await self.connection.execute(query):
            used.setdefault(booking, {})[material] = -int(total)
        return used

    def _of(self, material: str) -> sa.ColumnElement[bool]:
        columns = stock_entry.c
        return sa.and_(columns.salon_id == self.salon, columns.material_id == material)


def _entry(row: sa.Row[Any]) -> StockEntry:
    return StockEntry(
        id=str(row.id),
        at=datetime.fromtimestamp(row.at / 1000, UTC),
        who=row.who,
        kind=EntryKind(row.kind),
        material=row.material_id,
        on_hand_grams=row.on_hand / 1000,
        on_order_grams=row.on_order / 1000,
        arrives=None if row.arrives is None else date.fromisoformat(row.arrives),
        reason=row.reason,
        booking=row.booking_id,
        expected_grams=None if row.expected is None else row.expected / 1000,
    )
