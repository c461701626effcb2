"""What the scales say of the take-off's rates of hair."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable

from api.services.errors import NotFoundError, UnprocessableError
from api.services.house_rates import rates_in_force
from api.services.ledger_entries import MILLI
from api.services.ports import Store, UnitOfWork
from api.services.shelf import known_materials
from schemas.dealings import BookingRecord
from schemas.hair import Material
from schemas.ledger import HairUseReport
from schemas.reports import Definition
from schemas.takeoff import Provenance, Rate, RateOverride
from solver.errors import Fault, StyleError
from solver.takeoff.hair_learning import WeighedHair, by_style, learn_hair
from solver.takeoff.rates import RateBook
from solver.takeoff.reckoning import take_off_with

FINEST = 6
"""Digits of a rate that is adopted."""
DEFINITIONS = (
    Definition(
        figure="expected",
        numerator="Grams of the visits' take-offs, reckoned with the rates of today, for the roles "
        "that were weighed; what clients brought is left out.",
        unit="g",
    ),
    Definition(
        figure="used",
        numerator="Grams the same visits took by the ledger, offcuts and waste included.",
        unit="g",
    ),
    Definition(figure="ratio", numerator="used", denominator="expected", unit="ratio"),
    Definition(
        figure="learned",
        numerator="The rate that the weighed visits speak for, drawn to the rate in use while they "
        "are few: conjugate normal on the logarithm of used / expected.",
        unit="the rate's own",
    ),
)


class HairLearning:
    def __init__(self, store: Store) -> None:
        self.store = store

    async def report(self) -> HairUseReport:
        """Expected against used by style, and what it says of the rates."""
        async with self.store.reading() as unit:
            weighed, rates = await _weighed(unit)
        styles = by_style(weighed)
        return HairUseReport(
            definitions=DEFINITIONS,
            styles=styles,
            expected=sum(line.expected for line in styles),
            used=sum(line.used for line in styles),
            rates=learn_hair(weighed, rates),
        )

    async def adopt(self, code: str) -> Rate:
        """Reckon with a learned rate from now on. Raises where none is learned."""
        async with self.store.writing() as unit:
            weighed, rates = await _weighed(unit)
            if code not in rates.codes:
                raise NotFoundError("rate", code)
            learned = next((each for each in learn_hair(weighed, rates) if each.rate == code), None)
            if learned is None:
                raise UnprocessableError(
                    Fault("", f"no weighed visit is behind {code}: nothing is learned")
                )
            await unit.rates.put(
                RateOverride(
                    code=code,
                    value=round(learned.learned, FINEST),
                    provenance=Provenance.LEARNED,
                    note=f"Learned from {learned.visits} weighed visits.",
                )
            )
            return (await rates_in_force(unit)).rate(code)


async def _weighed(unit: UnitOfWork) -> tuple[tuple[WeighedHair, ...], RateBook]:
    rates = await rates_in_force(unit)
    materials = {material.id: material for material in await known_materials(unit)}
    used = await unit.ledger.used()
    records = []
    for booking in used:
        found = await unit.bookings.get(booking)
        if found is not None:
            records.append(found.document)
    return await asyncio.to_thread(_all, records, used, materials, rates), rates


def _all(
    records: Iterable[BookingRecord],
    used: dict[str, dict[str, int]],
    materials: dict[str, Material],
    rates: RateBook,
) -> tuple[WeighedHair, ...]:
    return tuple(
        each for record in records for each in _of(record, used[record.id], materials, rates)
    )


def _of(
    record: BookingRecord, used: dict[str, int], materials: dict[str, Material], rates: RateBook
) -> Iterable[WeighedHair]:
    """The roles of a visit of which everything was weighed."""
    if record.take_off is None:
        return
    known = materials | {material.id: material for material in record.take_off.materials}
    try:
        hair = take_off_with(record.take_off, known, rates).hair
    except StyleError:
        return  # It was reckoned with materials or rates that are gone: it says nothing of today's.
    for role in dict.fromkeys(each.role for each in hair):
        own = [each for each in hair if each.role is role]
        if any(each.brought_by_client or each.material not in used for each in own):
            continue
        yield WeighedHair(
            technique=record.take_off.style.technique,
            role=role,
            expected=sum(each.grams for each in own),
            used=sum(used[each.material] for each in own) / MILLI,
        )
