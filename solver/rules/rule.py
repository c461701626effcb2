"""What a rule is to the checker: a code, a sentence, typed parameters and a check.

The constraint that posts the same rule to the model lives in `solver.model.constraints`, shares no
code with this folder and meets it only in the rule's code.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Generic, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from schemas.rules import Finding, RuleDescription, RuleSetting
from schemas.windows import TimeWindow
from solver.errors import Fault, RuleError
from solver.rules.reading import Reading

LONGEST_TEXT = 400
"""Characters of a finding's detail and remedy (see `schemas.rules.Finding`)."""


class Parameters(BaseModel):
    """Base of every rule's parameters; minutes unless a field says otherwise."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)


class NoParameters(Parameters):
    """For a rule that has nothing to set."""


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
    """A rule of the salon. `check` yields the breaches of a plan against its day book."""

    code: str
    sentence: str
    parameters: type[P]
    check: Callable[[Reading, P, RuleSetting], Iterator[Breach]]
    always_hard: bool = False
    """True for what no salon can switch off: nobody is in two places."""
    scopes: tuple[str, ...] = ()
    """Which lists of tags of a `RuleScope` the rule looks at."""
    house_hard: bool = True
    """Whether the house default is hard."""
    house_weight: int = 1
    """Cost of one breach in the house default, where that is soft."""
    source: str | None = None
    """Where the house default comes from."""
    house_on: bool = True
    """Whether the house default is in force; if not, it waits for the salon to switch it on."""
    repeatable: bool = False
    """Whether it may be set several times, with other figures for other tags."""
    only_soft: bool = False
    """True for a wish that no plan must keep."""

    def setting(self) -> RuleSetting:
        """The house default: every parameter spelled out."""
        return RuleSetting(
            code=self.code,
            on=self.house_on,
            hard=self.house_hard and not self.only_soft,
            weight=self.house_weight,
            parameters=self.parameters().model_dump(),
            source=self.source,
        )

    def description(self) -> RuleDescription:
        """What an owner reads of the rule, with the JSON Schema of its parameters."""
        return RuleDescription(
            code=self.code,
            sentence=self.sentence,
            always_hard=self.always_hard,
            repeatable=self.repeatable,
            only_soft=self.only_soft,
            scopes=self.scopes,
            default=self.setting(),
            parameters=self.parameters.model_json_schema(),
        )

    def read(self, setting: RuleSetting, pointer: str = "") -> P:
        """The setting's parameters, typed; a parameter left out takes its default.

        Raises `RuleError`, one fault for each bad parameter, at `pointer`/parameters/<name>.
        """
        try:
            return self.parameters.model_validate(setting.parameters)
        except ValidationError as invalid:
            faults = (
                Fault(f"{pointer}/parameters{_path(error['loc'])}", f"{self.code}: {error['msg']}")
                for error in invalid.errors(include_url=False, include_context=False)
            )
            raise RuleError(*faults) from invalid

    def faults(self, setting: RuleSetting, pointer: str = "") -> Iterator[Fault]:
        """What is wrong with `setting`, as data an owner can put right."""
        try:
            self.read(setting, pointer)
        except RuleError as bad:
            yield from bad.faults
        if self.always_hard and not setting.on:
            yield Fault(f"{pointer}/on", f"{self.code} always holds; it cannot be switched off")
        if self.always_hard and not setting.hard:
            yield Fault(f"{pointer}/hard", f"{self.code} always holds; it cannot be made soft")
        if self.only_soft and setting.on and setting.hard:
            yield Fault(f"{pointer}/hard", f"{self.code} is a wish; it can only be soft")
        for scope in ("staff_tags", "chair_tags", "visit_tags"):
            if getattr(setting.scope, scope) and scope not in self.scopes:
                looks_at = " and ".join(self.scopes) or "no tags"
                yield Fault(
                    f"{pointer}/scope/{scope}", f"{self.code} looks at {looks_at}, not at {scope}"
                )

    def findings(self, reading: Reading, setting: RuleSetting) -> tuple[Finding, ...]:
        """The breaches of this rule as findings. Raises `RuleError` on a bad parameter."""
        hard = self.always_hard or setting.hard
        return tuple(
            Finding(
                rule=self.code,
                label=setting.label,
                hard=hard,
                sentence=self.sentence,
                detail=breach.detail[:LONGEST_TEXT],
                remedy=breach.remedy[:LONGEST_TEXT],
                visits=breach.visits,
                staff=breach.staff,
                window=breach.window,
                cost=0 if hard else setting.weight * breach.size,
            )
            for breach in self.check(reading, self.read(setting), setting)
        )


def concerns(tags: Iterable[str], wanted: tuple[str, ...]) -> bool:
    """Whether a thing with `tags` is in a scope of `wanted` tags; no wanted tag wants all."""
    return not wanted or not set(tags).isdisjoint(wanted)


def _path(loc: tuple[int | str, ...]) -> str:
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in loc)
