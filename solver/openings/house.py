"""The rules in force, as openings need them: figures in slots, and whom they concern.

What is hard shuts a place; what is soft costs the place its weight. A rule that is always in force
has nothing to set and is built into the search.
"""

from __future__ import annotations

from dataclasses import dataclass

from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.resources import Chair, StaffMember
from schemas.rules import RuleSetting
from solver.rules import MealBreak, Turnaround, settings_in_force
from solver.rules.rule import concerns


@dataclass(frozen=True)
class House:
    """The settings in force that a new visit can run into."""

    settings: dict[str, RuleSetting]
    every: tuple[RuleSetting, ...] = ()
    """All of them; a rule that is set several times is there as often."""

    @classmethod
    def of(cls, day_book: DayBook) -> House:
        """Raises RuleError where the day book's rules make no sense."""
        every = settings_in_force(day_book)
        return cls({setting.code: setting for setting in every}, every)

    def listed(self, code: str) -> list[RuleSetting]:
        """Every setting in force of this rule."""
        return [setting for setting in self.every if setting.code == code]

    def meal(self, person: StaffMember) -> MealBreak | None:
        """The meal break this person's shifts have to hold, if one concerns her."""
        setting = self.settings.get("meal-break")
        if setting is None or person.retired:
            return None
        if not concerns(person.tags, setting.scope.staff_tags):
            return None
        return MealBreak.model_validate(setting.parameters)

    @property
    def meal_is_hard(self) -> bool:
        return "meal-break" in self.settings and self.settings["meal-break"].hard

    def turnaround(self, chair: Chair) -> int:
        """Minutes that must lie between two clients on this chair."""
        setting = self.settings.get("turnaround")
        if setting is None or not setting.hard:
            return 0
        if not concerns(chair.tags, setting.scope.chair_tags):
            return 0
        return Turnaround.model_validate(setting.parameters).minutes

    def wish(self, code: str, request: Request) -> RuleSetting | None:
        """The setting of `preferred-lead` or `preferred-time` where it concerns the request."""
        setting = self.settings.get(code)
        if setting is None or not concerns(request.tags, setting.scope.visit_tags):
            return None
        return setting
