"""The hair of a visit is on the shelf on its day.

Material by material and day by day: what is on the shelf, with what has arrived, must do for all
visits of the day that take it; hair that a client brings is her own. What a day takes is gone, and
a day that was short leaves an empty shelf, as in the report of hair demand. A material that the
stock does not list is not there. Grams are counted in whole milligrams, half a milligram upwards.

A breach stands for one material on one day.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Annotated

from pydantic import Field

from schemas.plan import PlannedVisit
from schemas.rules import RuleSetting
from schemas.units import Number
from solver.rules.reading import Reading
from solver.rules.rule import Breach, Parameters, Rule

_Days = dict[date, list[tuple[PlannedVisit, int]]]


class HairOnHand(Parameters):
    """How early hair under way has to be there."""

    days: Annotated[int, Field(ge=0, le=60), Number] = 0
    """Days between its arrival and the visit, at least; 0 lets it arrive on the day itself."""


def _check(reading: Reading, parameters: HairOnHand, _: RuleSetting) -> Iterator[Breach]:
    stock = {line.material: line for line in reading.day_book.stock}
    for material, days in sorted(_needs(reading).items()):
        line = stock.get(material)
        shelf = _milligrams(line.on_hand_grams) if line else 0
        arrivals = sorted(
            (order.arrives + timedelta(days=parameters.days), _milligrams(order.grams))
            for order in (line.on_order if line else ())
        )
        for day, takers in sorted(days.items()):
            while arrivals and arrivals[0][0] <= day:
                shelf += arrivals.pop(0)[1]
            needed = sum(amount for _, amount in takers)
            if needed > shelf:
                yield _short(reading, material, takers, shelf)
            shelf = max(0, shelf - needed)


def _needs(reading: Reading) -> dict[str, _Days]:
    """By material and local date, who takes how many milligrams of the salon's hair."""
    needs: dict[str, _Days] = defaultdict(lambda: defaultdict(list))
    for planned in reading.plan.visits:
        visit = reading.visits.get(planned.visit)
        amounts: dict[str, int] = defaultdict(int)
        for hair in visit.hair if visit else ():
            if not hair.brought_by_client:
                amounts[hair.material] += _milligrams(hair.grams)
        day = reading.local(reading.occupied(planned)[0]).date()
        for material, amount in amounts.items():
            if amount:
                needs[material][day].append((planned, amount))
    return needs


def _short(
    reading: Reading, material: str, takers: list[tuple[PlannedVisit, int]], shelf: int
) -> Breach:
    needed = sum(amount for _, amount in takers)
    names = {each.id: each.name for each in reading.day_book.materials}
    first = min((planned for planned, _ in takers), key=reading.occupied)
    start, end = reading.occupied(first)
    clients = ", ".join(reading.client(planned.visit) for planned, _ in takers[:3])
    clients += f" and {len(takers) - 3} more" if len(takers) > 3 else ""
    return Breach(
        detail=f"{clients} on {reading.day(start)}: {needed / 1000:g} g of "
        f"{names.get(material, material)[:60]} are needed, {shelf / 1000:g} g will be there.",
        remedy=f"Order {(needed - shelf) / 1000:g} g more in time, move a visit until it has "
        "arrived, or agree on other hair.",
        visits=tuple(dict.fromkeys(planned.visit for planned, _ in takers)),
        window=reading.window(start, end),
    )


def _milligrams(grams: float) -> int:
    return int((Decimal(repr(grams)) * 1000).quantize(Decimal(1), rounding=ROUND_HALF_UP))


RULE = Rule(
    code="hair-on-hand",
    sentence="The hair of a visit is on the shelf on its day.",
    parameters=HairOnHand,
    check=_check,
    source="House figure",
    house_on=False,
)
