"""A style to be reckoned: described in full, or named from the menu with changes."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.hair import Material
from schemas.style import Style, StyleChange
from schemas.takeoff import Helper, RateOverride
from schemas.units import Identifier, Number, Pace


class TakeOffQuestion(Document):
    """What is to be reckoned, by whom, and at which odds."""

    style: Style | None = None
    menu: Identifier | None = None
    """A line of the style menu, instead of a style."""
    change: StyleChange | None = None
    """What this client wants otherwise than the menu says."""
    pace: Pace = 1.0
    helpers: Annotated[tuple[Helper, ...], Field(max_length=3)] = ()
    percentile: Annotated[int, Number, Field(ge=50, le=99)] = 80
    rates: Annotated[tuple[RateOverride, ...], Field(max_length=200)] = ()
    materials: Annotated[tuple[Material, ...], Field(max_length=100)] = ()

    @model_validator(mode="after")
    def _says_the_style_once(self) -> Self:
        if (self.style is None) == (self.menu is None):
            raise ValueError("state the style once: either style or menu")
        if self.change is not None and self.menu is None:
            raise ValueError("a change is for a line of the menu")
        return self
