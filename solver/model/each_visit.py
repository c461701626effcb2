"""A rule that judges each visit by itself: what it says of a placement, without the solver."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from schemas.rules import RuleSetting
from solver.model.facts import Day
from solver.model.placement import DayPlacement, VisitPlacement


@dataclass(frozen=True)
class EachVisit:
    """`breaches` counts how often a placed visit breaks one setting of the rule `code`."""

    code: str
    breaches: Callable[[Day, RuleSetting, VisitPlacement], int]

    def allows(self, day: Day, _: Iterable[VisitPlacement], placed: VisitPlacement) -> bool:
        """Whether every hard setting lets the visit be where it is placed, whoever is beside it."""
        return not any(
            setting.hard and self.breaches(day, setting, placed)
            for setting in day.settings_of(self.code)
        )

    def cost(self, day: Day, placement: DayPlacement) -> int:
        """What the soft settings cost in a placement."""
        return sum(
            setting.weight * self.breaches(day, setting, placed)
            for setting in day.settings_of(self.code)
            if not setting.hard
            for placed in placement.visits
        )
