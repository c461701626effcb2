"""What a rule is to the checker: a code, a sentence, typed parameters and a check.

The constraint that posts the same rule to the model lives in `solver.model.constraints`, shares no
code with this folder and meets it only in the rule's code.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Generic, TypeVar

from pydantic import BaseModel, ConfigDict

from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.rules import Finding, RuleSetting
from schemas.windows import TimeWindow


class Parameters(BaseModel):
    """Base of every rule's parameters; minutes unless a field says otherwise."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)


P = TypeVar("P", bound=Parameters)


@dataclass(frozen=True)
class Breach:
    """One breach as a checker sees it; the engine dresses it as a `Finding`."""

    detail: str
    remedy: str
    visits: tuple[str, ...] = ()
    staff: tuple[str, ...] = ()
    window: TimeWindow | None = None
    size: int = 1
    """How large the breach is, in the rule's own unit; a soft rule costs weight times size."""


@dataclass(frozen=True)
class Rule(Generic[P]):
    """A rule of the salon. `check` yields the breaches of `plan` against `day_book`."""

    code: str
    sentence: str
    parameters: type[P]
    check: Callable[[DayBook, Plan, P, RuleSetting], Iterator[Breach]]
    always_hard: bool = False
    """True for what no salon can switch off: nobody is in two places."""

    def findings(self, day_book: DayBook, plan: Plan, setting: RuleSetting) -> tuple[Finding, ...]:
        """The breaches of this rule as findings. Raises pydantic's error on a bad parameter."""
        parameters = self.parameters.model_validate(setting.parameters)
        hard = self.always_hard or setting.hard
        return tuple(
            Finding(
                rule=self.code,
                hard=hard,
                sentence=self.sentence,
                detail=breach.detail[:400],
                remedy=breach.remedy[:400],
                visits=breach.visits,
                staff=breach.staff,
                window=breach.window,
                cost=0 if hard else setting.weight * breach.size,
            )
            for breach in self.check(day_book, plan, parameters, setting)
        )
