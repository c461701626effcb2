"""Finished visits: what was booked, what it took, and the pace that is learned from them."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.takeoff import PaceEstimate
from schemas.units import Day, HelpRate, Identifier, Minutes, Number, Pace, Text, WorkMinutes


class FinishedVisitRecord(Document):
    """The braiding of one visit that is over, as the lead writes it down.

    Only the braiding counts: that is where leads differ. Her own work is
    `actual - breaks + help_rate * help_minutes`.
    """

    id: Identifier
    day: Day
    technique: Identifier
    booked: WorkMinutes
    """Minutes of braiding that were booked, at house pace: the braiding among the take-off's
    `phases`."""
    percentile: Annotated[int, Field(ge=50, le=99), Number] = 80
    """The odds they were booked at."""
    actual: WorkMinutes
    """Minutes from the first braid to the last, by the clock."""
    breaks: Minutes = 0
    """Minutes of `actual` in which nobody braided."""
    help_minutes: Minutes = 0
    """Minutes that assistants braided beside her, all together."""
    help_rate: HelpRate = 0.5
    """Minutes of her work that one of them replaced."""
    booking: Identifier | None = None
    """The booking it was, where there is one."""
    note: Text | None = None

    @model_validator(mode="after")
    def _breaks_leave_work(self) -> Self:
        if self.breaks >= self.actual:
            raise ValueError("the breaks take up all of the time")
        return self

    @property
    def work(self) -> float:
        """Minutes of the lead's own work that it took."""
        return self.actual - self.breaks + self.help_rate * self.help_minutes


class StaffPace(Document):
    """How fast a person works, as it is planned with and as her visits say."""

    staff: Identifier
    in_use: Pace
    """The pace that plans reckon with. What is learned changes it only when it is adopted."""
    overall: PaceEstimate
    """Learned over all her techniques."""
    techniques: tuple[PaceEstimate, ...]
    """Learned for each technique she has finished visits in."""


class PaceAdoption(Document):
    """Which learned pace plans shall reckon with from now on."""

    technique: Identifier | None = None
    """None takes the estimate over all her techniques."""
