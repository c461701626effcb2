"""Visits asked for and visits promised."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.hair import HairQuantity
from schemas.plan import PlannedVisit
from schemas.style import Style
from schemas.takeoff import TakeOffRequest
from schemas.units import Identifier, MinorUnits, Minutes, Number, Text, Timestamp
from schemas.windows import TimeWindow
from schemas.work import PhaseWork

Tags = Annotated[tuple[Identifier, ...], Field(max_length=12)]


class BookingStatus(StrEnum):
    """The words of iCalendar (RFC 5545, 3.8.1.11)."""

    TENTATIVE = "TENTATIVE"
    CONFIRMED = "CONFIRMED"
    CANCELLED = "CANCELLED"


class Promise(Document):
    """What a confirmed booking may not lose."""

    start: Timestamp
    tolerance: Minutes = 0
    """The start may move by at most this many minutes either way."""
    lead: Identifier | None = None
    """The lead, if the client chose one."""
    latest_finish: Timestamp | None = None

    @model_validator(mode="after")
    def _finish_after_start(self) -> Self:
        if self.latest_finish is not None and self.latest_finish <= self.start:
            raise ValueError("latest_finish must be after start")
        return self


class Visit(Document):
    """One client's time in the salon, as work to be placed.

    The work is `phases`, or a `take_off` from which the phases are computed.
    """

    id: Identifier
    client: Text
    phases: Annotated[tuple[PhaseWork, ...], Field(max_length=40)] = ()
    take_off: TakeOffRequest | None = None
    chair_features: Tags = ()
    max_assistants: Annotated[int, Field(ge=0, le=6), Number] = 1
    preferred_lead: Identifier | None = None
    required_lead: Identifier | None = None
    refused_leads: Tags = ()
    tags: Tags = ()
    hair: Annotated[tuple[HairQuantity, ...], Field(max_length=16)] = ()
    """Hair it takes; computed where a take_off is given."""

    @model_validator(mode="after")
    def _states_its_work_once(self) -> Self:
        if bool(self.phases) == (self.take_off is not None):
            raise ValueError("state the work once: either phases or a take_off")
        if self.required_lead is not None and self.required_lead in self.refused_leads:
            raise ValueError("the required lead is also refused")
        return self


class Request(Visit):
    """A visit the salon may accept or decline."""

    windows: Annotated[tuple[TimeWindow, ...], Field(min_length=1, max_length=62)]
    """When it suits the client: the whole visit falls inside one of them."""
    preferred: TimeWindow | None = None
    value: MinorUnits | None = None
    """What accepting it is worth, in minor units; its work minutes where empty."""


class Booking(Visit):
    """A visit the salon has agreed to, with its promise and, once planned, its place."""

    status: BookingStatus = BookingStatus.CONFIRMED
    promise: Promise
    placed: PlannedVisit | None = None

    @model_validator(mode="after")
    def _placed_is_its_own(self) -> Self:
        if self.placed is not None and self.placed.visit != self.id:
            raise ValueError("placed belongs to another visit")
        return self


__all__ = ["Booking", "BookingStatus", "Promise", "Request", "Style", "Visit"]
