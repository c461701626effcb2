"""Hair on the shelf and on its way."""

from __future__ import annotations

from api.services.errors import NotFoundError, UnprocessableError
from api.services.ledger_entries import settle
from api.services.ports import Store, UnitOfWork
from api.services.versions import Expectation, tag_of
from schemas.hair import Material, StockLine
from schemas.shelf import ShelfLine, StockSetting
from solver.errors import Fault
from solver.takeoff import house_materials


async def known_materials(unit: UnitOfWork) -> tuple[Material, ...]:
    """The house's plain materials and the salon's own, by name; the salon's word goes first."""
    own = await unit.materials.all()
    merged = {material.id: material for material in (*house_materials(), *own)}
    return tuple(merged[name] for name in sorted(merged))


class Shelf:
    """Every material, with its stock."""

    def __init__(self, store: Store) -> None:
        self.store = store

    async def all(self) -> tuple[ShelfLine, ...]:
        async with self.store.reading() as unit:
            return await _all(unit)

    async def page(self, after: str | None, limit: int) -> tuple[tuple[ShelfLine, ...], str | None]:
        lines = [line for line in await self.all() if after is None or line.material.id > after]
        return tuple(lines[:limit]), lines[limit - 1].material.id if len(lines) > limit else None

    async def read(self, material: str) -> ShelfLine:
        async with self.store.reading() as unit:
            return await _read(unit, material)

    async def set(self, name: str, setting: StockSetting, seen: Expectation) -> ShelfLine:
        """Take a stocktake's word. Raises UnprocessableError for a material nobody knows."""
        if setting.material is not None and setting.material.id != name:
            raise UnprocessableError(Fault("/material/id", f"must be {name}, as in the path"))
        async with self.store.writing() as unit:
            known = {material.id: material for material in await known_materials(unit)}
            material = setting.material or known.get(name)
            if material is None:
                raise UnprocessableError(
                    Fault("/material", "is missing: nobody knows this material, describe it")
                )
            there = await unit.stock.get(name)
            line = await _read(unit, name) if name in known else None
            seen.require_tag(None if line is None else tag_of(line), own=there is not None)
            await unit.materials.put(material)
            await settle(unit, name, setting.on_hand_grams, setting.on_order)
            return await _read(unit, name)


async def _all(unit: UnitOfWork) -> tuple[ShelfLine, ...]:
    materials = await known_materials(unit)
    own = {material.id for material in await unit.materials.all()}
    stock = {line.material: line for line in await unit.stock.all()}
    house = {material.id: material for material in house_materials()}
    return tuple(
        ShelfLine(
            material=material,
            stock=stock.get(material.id, StockLine(material=material.id, on_hand_grams=0)),
            house=material.id not in own or house.get(material.id) == material,
        )
        for material in materials
    )


async def _read(unit: UnitOfWork, name: str) -> ShelfLine:
    for line in await _all(unit):
        if line.material.id == name:
            return line
    raise NotFoundError("material", name)
