"""Holds: a place kept for a client while she makes up her mind."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.booking import Booking, BookingStatus, Promise, Request
from schemas.openings import Opening
from schemas.takeoff import TakeOffRequest
from schemas.units import Identifier, Number

LONGEST_HOLD = 60
HoldMinutes = Annotated[int, Field(ge=1, le=LONGEST_HOLD), Number]
"""Minutes for which a place is held, at most an hour."""


class NewHold(Document):
    """A request, one opening that was found for it, and for how long to hold it."""

    request: Request
    opening: Opening
    minutes: HoldMinutes = 10

    @model_validator(mode="after")
    def _opening_is_for_this_request(self) -> Self:
        if self.opening.visit.visit != self.request.id:
            raise ValueError("the opening was found for another request")
        return self


class Hold(Document):
    """A place that nobody else is offered or sold, in `[held_at, until)`."""

    id: Identifier
    """The name of the visit it is for."""
    request: Request
    """What was asked, with its phases and hair as they were reckoned when the hold was made."""
    take_off: TakeOffRequest | None = None
    opening: Opening
    held_at: datetime
    until: datetime
    """From this instant on the place is free again, whether or not anybody asks."""

    def holds_at(self, instant: datetime) -> bool:
        return instant < self.until

    def as_booking(self) -> Booking:
        """What it is to whoever looks for a place or plans the day: a promise like any other."""
        visit = {
            name: getattr(self.request, name)
            for name in Booking.model_fields
            if name in Request.model_fields
        }
        placed = self.opening.visit
        asked = {self.request.required_lead, self.request.preferred_lead}
        promise = Promise(
            start=placed.window.start,
            lead=placed.lead if placed.lead in asked else None,
            latest_finish=placed.window.end,
        )
        return Booking(**visit, status=BookingStatus.CONFIRMED, promise=promise, placed=placed)
