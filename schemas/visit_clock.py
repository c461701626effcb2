"""What the clock said of a visit, as her crew tapped it."""

from __future__ import annotations

from enum import StrEnum
from itertools import pairwise
from typing import Self

from pydantic import model_validator

from schemas.base import Document
from schemas.units import Identifier, Timestamp


class Moment(StrEnum):
    """The four moments of a visit that are tapped."""

    STARTED = "started"
    """She sits down, or goes to the basin."""
    BRAIDING = "braiding"
    """The first braid."""
    BRAIDED = "braided"
    """The last braid."""
    FINISHED = "finished"
    """She gets up."""


class VisitClock(Document):
    """The moments of one booking that were tapped so far, each on the minute."""

    id: Identifier
    """The booking."""
    started: Timestamp | None = None
    braiding: Timestamp | None = None
    braided: Timestamp | None = None
    finished: Timestamp | None = None

    @model_validator(mode="after")
    def _one_after_the_other(self) -> Self:
        told = [(each, getattr(self, each.value)) for each in Moment]
        told = [(each, at) for each, at in told if at is not None]
        for (before, earlier), (after, later) in pairwise(told):
            if later < earlier:
                raise ValueError(f"{after} is before {before}")
        if self.started is not None and self.finished == self.started:
            raise ValueError("finished is in the minute of started")
        return self


class Tap(Document):
    """When a moment was; left out, it is now."""

    at: Timestamp | None = None
