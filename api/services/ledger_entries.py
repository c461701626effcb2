"""Entries of the stock ledger, and the shelf's own lines brought to their sums."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from api.services.ports import LedgerEntry, UnitOfWork
from schemas.hair import Material, StockLine, StockOrder
from schemas.ledger import EntryKind, StockEntry

MILLI = 1000


def milligrams(grams: float) -> int:
    """The ledger's own unit: a thousandth of a gram, so that sums are exact."""
    return round(grams * MILLI)


async def settle(
    unit: UnitOfWork, material: str, on_hand: float, on_order: Iterable[StockOrder]
) -> None:
    """Enter what a stocktake says as differences from what the entries say."""
    balance = await unit.ledger.balance(material)
    entries = []
    counted = milligrams(on_hand) - balance.on_hand
    if counted:
        entries.append(LedgerEntry(kind=EntryKind.STOCKTAKE, material=material, on_hand=counted))
    wanted: dict[date, int] = {}
    for order in on_order:
        wanted[order.arrives] = wanted.get(order.arrives, 0) + milligrams(order.grams)
    for day in sorted({*wanted, *balance.on_order}):
        more = wanted.get(day, 0) - balance.on_order.get(day, 0)
        if more:
            kind = EntryKind.ORDER if more > 0 else EntryKind.WITHDRAWN
            entries.append(LedgerEntry(kind=kind, material=material, on_order=more, arrives=day))
    await enter(unit, entries, also=(material,))


async def enter(
    unit: UnitOfWork, entries: Sequence[LedgerEntry], also: Iterable[str] = ()
) -> tuple[StockEntry, ...]:
    """Write the entries, and bring the shelf's own lines to their sums."""
    written = await unit.ledger.write(entries)
    for material in sorted({*also, *(entry.material for entry in entries)}):
        balance = await unit.ledger.balance(material)
        orders = (
            StockOrder(grams=grams / MILLI, arrives=day)
            for day, grams in sorted(balance.on_order.items())
        )
        line = StockLine(
            material=material, on_hand_grams=balance.on_hand / MILLI, on_order=tuple(orders)
        )
        await unit.stock.put(line)
    return written


async def keep_material(unit: UnitOfWork, material: Material) -> None:
    """A plain material of the house gets its row when something is first told of it."""
    if await unit.materials.get(material.id) is None:
        await unit.materials.put(material)
