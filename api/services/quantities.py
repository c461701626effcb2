"""Take-offs: a style in, minutes and hair out."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable

from pydantic import ValidationError

from api.services.errors import UnprocessableError
from api.services.ports import Store
from api.services.shelf import known_materials
from schemas.quantities import TakeOffQuestion
from schemas.style import MenuEntry, Style
from schemas.takeoff import TakeOff, TakeOffRequest
from solver.errors import Fault, StyleError
from solver.takeoff.reckoning import take_off_with

MOST_STOCK = 500


class Quantities:
    def __init__(self, store: Store) -> None:
        self.store = store

    async def take_off(self, question: TakeOffQuestion) -> TakeOff:
        """Raises UnprocessableError with pointers into the question."""
        async with self.store.reading() as unit:
            entry = None if question.menu is None else await unit.menu.get(question.menu)
            materials = {material.id: material for material in await known_materials(unit)}
            stock = await unit.stock.all()
        if question.menu is not None and entry is None:
            raise UnprocessableError(Fault("/menu", f"there is no style {question.menu}"))
        style = question.style if entry is None else _changed(entry.document, question)
        assert style is not None
        materials |= {material.id: material for material in question.materials}
        request = TakeOffRequest(
            style=style,
            pace=question.pace,
            helpers=question.helpers,
            percentile=question.percentile,
            rates=question.rates,
            stock=stock[:MOST_STOCK],
        )
        try:
            return await asyncio.to_thread(take_off_with, request, materials)
        except StyleError as wrong:
            raise UnprocessableError(*_into(question, wrong.faults)) from wrong


def _changed(entry: MenuEntry, question: TakeOffQuestion) -> Style:
    if question.change is None:
        return entry.style
    try:
        return question.change.applied_to(entry.style)
    except ValidationError as wrong:
        first = wrong.errors(include_url=False, include_context=False)[0]
        told = first["msg"].removeprefix("Value error, ")
        raise UnprocessableError(Fault("/change", told)) from wrong


def _into(question: TakeOffQuestion, faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Faults of a take-off request, told from the question: what the menu says is at /menu."""
    if question.menu is None:
        return tuple(faults)
    changed = set() if question.change is None else question.change.model_fields_set
    told = []
    for fault in faults:
        parts = fault.pointer.split("/")
        if len(parts) > 1 and parts[1] == "style":
            inside = len(parts) > 2 and parts[2] in changed
            pointer = "/".join(["", "change", *parts[2:]]) if inside else "/menu"
            told.append(Fault(pointer, fault.detail))
        else:
            told.append(fault)
    return tuple(told)
