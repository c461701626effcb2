"""A style to be reckoned or drawn: described in full, or named from the menu with changes."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.hair import Material
from schemas.style import Style, StyleChange
from schemas.takeoff import Helper, RateOverride
from schemas.units import Identifier, Number, Pace, Timestamp


class StyleQuestion(Document):
    """Which style is meant."""

    style: Style | None = None
    menu: Identifier | None = None
    """A line of the style menu, instead of a style."""
    change: StyleChange | None = None
    """What this client wants otherwise than the menu says."""

    @model_validator(mode="after")
    def _says_the_style_once(self) -> Self:
        if (self.style is None) == (self.menu is None):
            raise ValueError("state the style once: either style or menu")
        if self.change is not None and self.menu is None:
            raise ValueError("a change is for a line of the menu")
        return self


class PartingMapQuestion(StyleQuestion):
    """A style whose parting is to be drawn."""


class TakeOffQuestion(StyleQuestion):
    """What is to be reckoned, by whom, and at which odds."""

    pace: Pace = 1.0
    pace_of: Identifier | None = None
    """A person whose pace is taken instead: learned from her finished visits in the technique, or
    the pace she is planned with where there are none."""
    helpers: Annotated[tuple[Helper, ...], Field(max_length=3)] = ()
    helped_by: Annotated[tuple[Identifier, ...], Field(max_length=3)] = ()
    """People of the salon who might help, instead of `helpers`: each with her own help rate."""
    start: Timestamp | None = None
    """When the visit would begin; with it each crew has its finish."""
    percentile: Annotated[int, Field(ge=50, le=99), Number] = 80
    rates: Annotated[tuple[RateOverride, ...], Field(max_length=200)] = ()
    """Rates for this question alone; they go before the salon's."""
    materials: Annotated[tuple[Material, ...], Field(max_length=100)] = ()

    @model_validator(mode="after")
    def _says_the_crew_once(self) -> Self:
        if self.pace_of is not None and "pace" in self.model_fields_set:
            raise ValueError("state the pace once: either pace or pace_of")
        if self.helped_by and self.helpers:
            raise ValueError("state the assistants once: either helpers or helped_by")
        if len(set(self.helped_by)) != len(self.helped_by):
            raise ValueError("helped_by names somebody twice")
        return self
