"""`hair-on-hand`: what the visits of a day take of a material is on the shelf that day.

A request whose hair is not there is declined, and so is one whose hair a later promise needs. Where
the rule is soft, each material that is short costs the weight.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from solver.model.facts import Day, DayVisit, is_promised
from solver.model.placement import DayPlacement, VisitPlacement
from solver.model.shelf import taken
from solver.model.variables import DayModel

CODE = "hair-on-hand"


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is None:
        return
    cp = model.cp
    for material, shelf in model.day.shelves.items():
        takers = [
            (visit, taken(visit.facts.visit)[material])
            for visit in model.visits
            if material in taken(visit.facts.visit)
        ]
        needed = sum(amount * visit.present for visit, amount in takers)
        if not setting.hard:
            short = model.new_bool(f"{material} is short")
            cp.add(needed <= shelf.there).only_enforce_if(~short)
            model.penalties.append(setting.weight * short)
            continue
        cp.add(needed <= shelf.there)
        promises = [each for each in takers if is_promised(each[0].facts.visit)]
        asking = [each for each in takers if not is_promised(each[0].facts.visit)]
        promised = sum(amount for _, amount in promises)
        if promised > shelf.there:
            reason = f"its hair is not there: of {material}, {promised / 1000:g} g are promised "
            reason += f"that day and {shelf.there / 1000:g} g will be on the shelf"
            model.cannot(promises[-1][0], CODE, reason)
        if asking:
            spare = max(0, min(shelf.there, shelf.later) - promised)
            cp.add(sum(amount * visit.present for visit, amount in asking) <= spare)


def allows(day: Day, others: Iterable[VisitPlacement], placed: VisitPlacement) -> bool:
    """Whether the hair does for one more visit beside the others."""
    visits = [day.visits[each.visit] for each in (*others, placed)]
    needed = _needed(visits)
    promised = _needed(visit for visit in visits if is_promised(visit.visit))
    for material in taken(day.visits[placed.visit].visit):
        shelf = day.shelves[material]
        only_promises = needed[material] == promised[material]
        if needed[material] > (shelf.there if only_promises else min(shelf.there, shelf.later)):
            return False
    return True


def cost(day: Day, placement: DayPlacement) -> int:
    """What a soft setting costs in a placement."""
    setting = day.setting(CODE)
    if setting is None or setting.hard:
        return 0
    needed = _needed(day.visits[placed.visit] for placed in placement.visits)
    return setting.weight * sum(
        amount > day.shelves[material].there for material, amount in needed.items()
    )


def _needed(visits: Iterable[DayVisit]) -> dict[str, int]:
    found: dict[str, int] = defaultdict(int)
    for visit in visits:
        for material, amount in taken(visit.visit).items():
            found[material] += amount
    return found
