"""The stock ledger: what came, what went, what was counted. Nothing of it is ever changed.

The shelf's own document repeats the sums of the entries, for whoever asks what is there now.
"""

from __future__ import annotations

from api.services.changes import row_number
from api.services.errors import NotFoundError, UnprocessableError
from api.services.ledger_entries import MILLI, enter, keep_material, milligrams
from api.services.own_day import require_own_visit
from api.services.ports import LedgerEntry, Store, UnitOfWork
from api.services.shelf import known_materials
from schemas.dealings import BookingRecord
from schemas.hair import Material
from schemas.ledger import (
    EntryKind,
    HairUse,
    HairUseLine,
    NewStockEntry,
    StockEntry,
    VisitHair,
)
from schemas.pages import StockEntryPage
from solver.errors import Fault

MORE_THAN_KNOWN = "A visit took more than the ledger knew of: count the shelf."


class StockLedger:
    def __init__(self, store: Store) -> None:
        self.store = store

    async def page(self, material: str, after: str | None, limit: int) -> StockEntryPage:
        """The newest first. Raises NotFoundError for a material nobody knows."""
        number = None if after is None else row_number(after)
        async with self.store.reading() as unit:
            await _material(unit, material)
            found = await unit.ledger.page(material, after=number, limit=limit + 1)
        items = found[:limit]
        return StockEntryPage(items=items, next=items[-1].id if len(found) > limit else None)

    async def write(self, material: str, new: NewStockEntry) -> StockEntry:
        """Write a receipt, a correction or an order. Raises UnprocessableError where it cannot be.

        More than there is cannot be taken off the shelf, nor withdrawn from an order.
        """
        async with self.store.writing() as unit:
            await keep_material(unit, await _material(unit, material))
            balance = await unit.ledger.balance(material)
            grams = milligrams(new.grams)
            if new.kind is EntryKind.CORRECTION and balance.on_hand + grams < 0:
                detail = f"only {balance.on_hand / MILLI:g} g are on the shelf"
                raise UnprocessableError(Fault("/grams", detail))
            due = 0 if new.arrives is None else balance.on_order.get(new.arrives, 0)
            if new.kind is EntryKind.WITHDRAWN and grams > due:
                detail = f"only {due / MILLI:g} g are due on {new.arrives}"
                raise UnprocessableError(Fault("/grams", detail))
            if new.kind is EntryKind.RECEIPT and new.arrives is not None and not due:
                raise UnprocessableError(Fault("/arrives", f"nothing is due on {new.arrives}"))
            entry = LedgerEntry(
                kind=new.kind,
                material=material,
                on_hand=grams if new.kind in {EntryKind.RECEIPT, EntryKind.CORRECTION} else 0,
                on_order={
                    EntryKind.ORDER: grams,
                    EntryKind.WITHDRAWN: -grams,
                    EntryKind.RECEIPT: -min(grams, due),
                }.get(new.kind, 0),
                arrives=new.arrives,
                reason=new.reason,
            )
            return (await enter(unit, [entry]))[0]

    async def hair_of(self, booking: str) -> VisitHair:
        """What a visit was reckoned to take, and took."""
        async with self.store.reading() as unit:
            return await _hair_of(unit, await _visit(unit, booking))

    async def use(self, booking: str, use: HairUse) -> VisitHair:
        """Take what a visit used off the shelf; told again, only the difference is written.

        Hair that the client brings takes nothing off the shelf. Where a visit took more than the
        ledger knows of, a correction beside it says so, and nothing lies there any more.
        """
        async with self.store.writing() as unit:
            record = await _visit(unit, booking)
            before = await _hair_of(unit, record)
            told = {line.material: line for line in before.lines}
            known = {material.id: material for material in await known_materials(unit)}
            entries: list[LedgerEntry] = []
            for index, each in enumerate(use.hair):
                material, line = known.get(each.material), told.get(each.material)
                if material is None:
                    detail = f"there is no material {each.material}"
                    raise UnprocessableError(Fault(f"/hair/{index}/material", detail))
                if line is not None and line.brought_by_client:
                    detail = "the client brought it: it takes nothing off the shelf"
                    raise UnprocessableError(Fault(f"/hair/{index}/material", detail))
                await keep_material(unit, material)
                known_use = 0 if line is None or line.used is None else milligrams(line.used)
                entries += await _taken(
                    unit,
                    LedgerEntry(
                        kind=EntryKind.USE,
                        material=material.id,
                        on_hand=known_use - milligrams(each.grams),
                        booking=booking,
                        expected=milligrams(0.0 if line is None else line.expected),
                    ),
                    first=line is None or line.used is None,
                )
            await enter(unit, entries)
            return await _hair_of(unit, record)


async def _taken(unit: UnitOfWork, entry: LedgerEntry, *, first: bool) -> list[LedgerEntry]:
    """The entry, and a correction before it where it takes more than there is."""
    if not first and not entry.on_hand:
        return []
    lacking = -entry.on_hand - (await unit.ledger.balance(entry.material)).on_hand
    if lacking <= 0:
        return [entry]
    found = LedgerEntry(
        kind=EntryKind.CORRECTION, material=entry.material, on_hand=lacking, reason=MORE_THAN_KNOWN
    )
    return [found, entry]


async def _material(unit: UnitOfWork, name: str) -> Material:
    for material in await known_materials(unit):
        if material.id == name:
            return material
    raise NotFoundError("material", name)


async def _visit(unit: UnitOfWork, booking: str) -> BookingRecord:
    found = await unit.bookings.get(booking)
    if found is None:
        raise NotFoundError("booking", booking)
    require_own_visit(found.document)
    return found.document


async def _hair_of(unit: UnitOfWork, record: BookingRecord) -> VisitHair:
    used = (await unit.ledger.used((record.id,))).get(record.id, {})
    lines = [
        HairUseLine(
            material=hair.material,
            expected=hair.grams,
            used=None
            if hair.brought_by_client or hair.material not in used
            else used[hair.material] / MILLI,
            brought_by_client=hair.brought_by_client,
        )
        for hair in record.request.hair
    ]
    named = {line.material for line in lines}
    lines += [
        HairUseLine(material=material, expected=0, used=grams / MILLI, brought_by_client=False)
        for material, grams in used.items()
        if material not in named
    ]
    return VisitHair(booking=record.id, lines=tuple(lines))
