"""`at-most-together`: so many visits of a kind at one time, as one cumulative resource.

Where the rule is soft its capacity may grow, and each place more costs the weight once a day.
"""

from __future__ import annotations

from collections.abc import Iterable

from schemas.rules import RuleSetting
from solver.model.facts import Day, number
from solver.model.placement import DayPlacement, VisitPlacement
from solver.model.scope import concerns_visit
from solver.model.variables import DayModel

CODE = "at-most-together"


def post(model: DayModel) -> None:
    cp = model.cp
    for setting in model.day.settings_of(CODE):
        stays = [
            cp.new_optional_interval_var(
                visit.start, visit.length, visit.end, visit.present, f"{visit.facts.id} is there"
            )
            for visit in model.visits
            if concerns_visit(setting, visit.facts)
        ]
        most = number(setting, "visits", 2)
        if len(stays) <= most:
            continue
        if setting.hard:
            cp.add_cumulative(stays, [1] * len(stays), most)
            continue
        excess = cp.new_int_var(0, len(stays) - most, f"too many of {setting.label}")
        cp.add_cumulative(stays, [1] * len(stays), most + excess)
        model.penalties.append(setting.weight * excess)


def allows(day: Day, others: Iterable[VisitPlacement], placed: VisitPlacement) -> bool:
    """Whether every hard setting lets one more visit in beside the others."""
    return all(
        _peak(day, setting, [*others, placed]) <= number(setting, "visits", 2)
        for setting in day.settings_of(CODE)
        if setting.hard and concerns_visit(setting, day.visits[placed.visit])
    )


def cost(day: Day, placement: DayPlacement) -> int:
    """What the soft settings cost in a placement."""
    return sum(
        setting.weight
        * max(0, _peak(day, setting, placement.visits) - number(setting, "visits", 2))
        for setting in day.settings_of(CODE)
        if not setting.hard
    )


def _peak(day: Day, setting: RuleSetting, visits: Iterable[VisitPlacement]) -> int:
    """The most visits of the kind at one step."""
    changes = []
    for placed in visits:
        if concerns_visit(setting, day.visits[placed.visit]):
            changes += [(placed.start, 1), (placed.end, -1)]
    peak = there = 0
    # At one step, who leaves leaves before who comes.
    for _, change in sorted(changes):
        there += change
        peak = max(peak, there)
    return peak
