"""Rules as data, and the findings that a plan draws."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from schemas.base import Document
from schemas.units import Flag, Identifier, LocalTime, Number, Text, Weight
from schemas.windows import TimeWindow

ParameterValue = Annotated[int, Field(ge=-1_000_000, le=1_000_000), Number] | Identifier | LocalTime


class RuleScope(Document):
    """Whom and what a rule concerns, by tag; an empty list concerns all."""

    staff_tags: Annotated[tuple[Identifier, ...], Field(max_length=12)] = ()
    chair_tags: Annotated[tuple[Identifier, ...], Field(max_length=12)] = ()
    visit_tags: Annotated[tuple[Identifier, ...], Field(max_length=12)] = ()


class RuleSetting(Document):
    """One rule of the house, switched on with its parameters."""

    code: Identifier
    label: Identifier | None = None
    """Tells settings of one rule apart, where the rule may be set several times."""
    on: Flag = True
    hard: Flag = True
    weight: Weight = 1
    """Cost of one breach where the rule is soft."""
    parameters: dict[Identifier, ParameterValue] = Field(default_factory=dict, max_length=20)
    scope: RuleScope = RuleScope()
    source: Text | None = None
    """The law, the contract or the habit it comes from."""

    @property
    def key(self) -> str:
        """What tells it from every other setting of a salon."""
        return self.code if self.label is None else f"{self.code}/{self.label}"


class RuleDescription(Document):
    """A rule the engine knows: its sentence, and the JSON Schema of its parameters."""

    code: Identifier
    sentence: Text
    always_hard: Flag
    """It holds whatever the salon says: it cannot be switched off or made soft."""
    repeatable: Flag = False
    """A day book may set it several times, each with a label of its own."""
    only_soft: Flag = False
    """It is a wish: it costs its weight and forbids nothing."""
    scopes: tuple[str, ...] = ()
    """The lists of tags of a scope that it looks at, for example `staff_tags`."""
    default: RuleSetting | None = None
    """The house default, every parameter spelled out."""
    parameters: dict[str, object]
    """JSON Schema of its parameters."""


class Finding(Document):
    """One breach of one rule."""

    rule: Identifier
    label: Identifier | None = None
    """The label of the setting, where the rule is set several times."""
    hard: Flag
    sentence: Text
    """The rule's own sentence."""
    detail: Annotated[str, Field(max_length=400)]
    """Who and when, with the figures."""
    remedy: Annotated[str, Field(max_length=400)]
    visits: tuple[Identifier, ...] = ()
    staff: tuple[Identifier, ...] = ()
    window: TimeWindow | None = None
    cost: Annotated[int, Field(ge=0)] = 0
    """Weight times the size of the breach, for a soft rule."""


class BreakPreset(Document):
    """A law on breaks and hours as rule settings. General information: check your local code."""

    code: Identifier
    place: Text
    law: Text
    """Name and article."""
    settings: Annotated[tuple[RuleSetting, ...], Field(min_length=1, max_length=12)]
    """Ready for a day book's rules; they take the place of the salon's own of these codes."""
    states: Annotated[str, Field(max_length=400)]
    """What the settings hold a plan to."""
    leaves_out: Annotated[str, Field(max_length=400)]
    """What the law also asks and the settings do not check."""


class BreakLaw(Document):
    """A preset as a salon reads it."""

    preset: BreakPreset
    adopted: Flag
    """Its settings are the salon's own as they stand."""
    caution: Text = "General information and not legal advice: check your local code."
