"""Rates of the house: what take-offs reckon with, and what the salon sets itself."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.takeoff import Provenance, Rate, RateOverride, require_source
from schemas.units import Flag, Identifier, Number, Text


class HouseRate(Rate):
    """A rate with the figure in force, and what it would be by default."""

    default: float
    """What holds without an override of the salon's."""
    own: Flag
    """True where the salon has set it."""


class RateSetting(Document):
    """A figure of the salon's own; code, unit and range stay the rate's."""

    value: Annotated[float, Field(ge=0, le=100_000), Number]
    provenance: Provenance = Provenance.HOUSE
    source: Text | None = None
    """The text it was published in; only for a published one."""
    note: Text | None = None
    """Why it is so here, for whoever reads it next year."""

    @model_validator(mode="after")
    def _sourced(self) -> Self:
        require_source(self.provenance, self.source)
        return self

    def of(self, code: Identifier) -> RateOverride:
        """The setting as an override of the rate `code`."""
        return RateOverride(
            code=code,
            value=self.value,
            provenance=self.provenance,
            source=self.source,
            note=self.note,
        )
