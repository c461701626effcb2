"""Take-offs and parting maps: a style in, minutes, hair or a drawing out."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from dataclasses import dataclass

from pydantic import ValidationError

from api.services.errors import NotFoundError, UnprocessableError
from api.services.house_rates import rates_in_force
from api.services.pace import estimate_for
from api.services.ports import Store, UnitOfWork
from api.services.shelf import known_materials
from schemas.hair import Material, StockLine
from schemas.quantities import StyleQuestion, TakeOffQuestion
from schemas.resources import Role
from schemas.style import MenuEntry, Style
from schemas.takeoff import Helper, PaceEstimate, Provenance, TakeOff, TakeOffRequest
from solver.errors import Fault, StyleError
from solver.takeoff import reckoning_of
from solver.takeoff.drawing import parting_map
from solver.takeoff.rates import RateBook
from solver.takeoff.reckoning import take_off_with

MOST_STOCK = 500


@dataclass(frozen=True)
class _Known:
    """What the salon says, and whose pace it is."""

    style: Style
    rates: RateBook
    materials: dict[str, Material]
    stock: tuple[StockLine, ...]
    pace: float
    estimate: PaceEstimate | None
    helpers: tuple[Helper, ...]


class Quantities:
    def __init__(self, store: Store) -> None:
        self.store = store

    async def take_off(self, question: TakeOffQuestion, *, explain: bool = False) -> TakeOff:
        """The quantities; with `explain` also their lines and sentences.

        Raises UnprocessableError with pointers into the question.
        """
        async with self.store.reading() as unit:
            known = await _known(unit, question)
        request = TakeOffRequest(
            style=known.style,
            pace=known.pace,
            pace_provenance=Provenance.HOUSE if known.estimate is None else Provenance.LEARNED,
            helpers=known.helpers,
            start=question.start,
            percentile=question.percentile,
            rates=question.rates,
            stock=known.stock[:MOST_STOCK],
        )
        try:
            return await asyncio.to_thread(_reckon, request, known, explain=explain)
        except StyleError as wrong:
            raise UnprocessableError(*_into(question, wrong.faults)) from wrong

    async def draw(self, question: StyleQuestion) -> str:
        """The parting as SVG. Raises UnprocessableError with pointers into the question."""
        async with self.store.reading() as unit:
            style, rates = await _style(unit, question), await rates_in_force(unit)
        try:
            return await asyncio.to_thread(parting_map, style, rates)
        except StyleError as wrong:
            raise UnprocessableError(*_into(question, wrong.faults)) from wrong

    async def draw_of_menu(self, name: str) -> str:
        """The parting of a line of the menu, as SVG. Raises NotFoundError where there is none."""
        async with self.store.reading() as unit:
            entry = await unit.menu.get(name)
            rates = await rates_in_force(unit)
        if entry is None:
            raise NotFoundError("style", name)
        return await asyncio.to_thread(parting_map, entry.document.style, rates)


def _reckon(request: TakeOffRequest, known: _Known, *, explain: bool) -> TakeOff:
    answer = take_off_with(request, known.materials, known.rates)
    answer = answer.model_copy(update={"pace_estimate": known.estimate})
    if explain:
        return answer.model_copy(update={"reckoning": reckoning_of(answer, known.materials)})
    return answer.model_copy(update={"lines": (), "hair_lines": ()})


async def _known(unit: UnitOfWork, question: TakeOffQuestion) -> _Known:
    style, rates = await _style(unit, question), await rates_in_force(unit)
    materials = {material.id: material for material in await known_materials(unit)}
    pace, estimate = question.pace, None
    if question.pace_of is not None:
        person = await unit.staff.get(question.pace_of)
        if person is None:
            raise UnprocessableError(
                Fault("/pace_of", f"there is nobody called {question.pace_of}")
            )
        records = await unit.finished.of(question.pace_of)
        estimate = estimate_for(question.pace_of, style.technique, records, rates)
        pace = person.document.pace if estimate is None else estimate.pace
    return _Known(
        style=style,
        rates=rates,
        materials=materials | {material.id: material for material in question.materials},
        stock=await unit.stock.all(),
        pace=pace,
        estimate=estimate,
        helpers=question.helpers or await _helpers(unit, question.helped_by),
    )


async def _helpers(unit: UnitOfWork, names: Iterable[str]) -> tuple[Helper, ...]:
    """People who might help. Raises UnprocessableError for one who is not there or does not."""
    found, faults = [], []
    for number, name in enumerate(names):
        person = await unit.staff.get(name)
        if person is None:
            faults.append(Fault(f"/helped_by/{number}", f"there is nobody called {name}"))
        elif Role.ASSISTANT not in person.document.roles:
            faults.append(Fault(f"/helped_by/{number}", f"{name} is no assistant"))
        else:
            member = person.document
            found.append(Helper(name=member.name, help_rate=member.help_rate))
    if faults:
        raise UnprocessableError(*faults)
    return tuple(found)


async def _style(unit: UnitOfWork, question: StyleQuestion) -> Style:
    if question.menu is None:
        assert question.style is not None
        return question.style
    entry = await unit.menu.get(question.menu)
    if entry is None:
        raise UnprocessableError(Fault("/menu", f"there is no style {question.menu}"))
    return _changed(entry.document, question)


def _changed(entry: MenuEntry, question: StyleQuestion) -> Style:
    if question.change is None:
        return entry.style
    try:
        return question.change.applied_to(entry.style)
    except ValidationError as wrong:
        first = wrong.errors(include_url=False, include_context=False)[0]
        told = first["msg"].removeprefix("Value error, ")
        raise UnprocessableError(Fault("/change", told)) from wrong


def _into(question: StyleQuestion, faults: Iterable[Fault]) -> tuple[Fault, ...]:
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
