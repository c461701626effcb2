"""Breaks that rules ask for: one `Due` for each, in steps, before it has a place.

`asked` lists the dues of each rule; the model gives each a variable, the greedy start a
place. A due is told apart by its key, so that both speak of the same break.
"""

from __future__ import annotations

from dataclasses import dataclass

from schemas.plan import BreakKind
from schemas.rules import RuleSetting
from solver.model.facts import DayShift, Span

Key = tuple[str, int, int]
"""The rule, the shift's index, and which of the shift's breaks by that rule."""


@dataclass(frozen=True)
class Due:
    """One break of one shift: `size` steps that start in `[first, last]`; none fits if they cross.

    `inside` says whether it may lie in a breakable phase, which it then stretches.
    """

    key: Key
    kind: BreakKind
    size: int
    first: int
    last: int
    inside: bool
    hard: bool
    weight: int
    after: Key | None = None
    """A break that must have ended before this one starts."""
    over: Span | None = None
    """It is asked only where so many steps of overtime are worked, from and to, both included."""

    @property
    def rule(self) -> str:
        return self.key[0]

    @property
    def shift(self) -> int:
        return self.key[1]

    def is_asked(self, over: int) -> bool:
        """Whether it is asked of a shift with so many steps of overtime."""
        return self.over is None or self.over[0] <= over <= self.over[1]

    @property
    def fits(self) -> bool:
        return self.first <= self.last


def concerns_shift(setting: RuleSetting, shift: DayShift) -> bool:
    """Whether a rule scoped by staff tags looks at this shift."""
    tags = setting.scope.staff_tags
    return not shift.person.retired and (
        not tags or bool(set(tags).intersection(shift.person.tags))
    )
