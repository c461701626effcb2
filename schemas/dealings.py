"""Dealings with a client: what becomes of a request, from the first call to the day itself."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.booking import Booking, BookingStatus, Promise, Request
from schemas.openings import Opening
from schemas.plan import Plan, PlannedVisit
from schemas.problems import Problem
from schemas.takeoff import TakeOffRequest
from schemas.units import Identifier, MinorUnits, Minutes, Text, Timestamp
from schemas.windows import TimeWindow


class NewBooking(Document):
    """A request to be kept: with a place it is promised, without one it waits for a plan."""

    request: Request
    opening: Opening | None = None
    """A place that needs nobody else to move."""
    day: Plan | None = None
    """A place that others make room for: the plan of her whole day, with all who come that day."""

    @model_validator(mode="after")
    def _place_is_for_this_request(self) -> Self:
        if self.opening is not None and self.day is not None:
            raise ValueError("state the place once: either opening or day")
        if self.opening is not None and self.opening.visit.visit != self.request.id:
            raise ValueError("the opening was found for another request")
        if self.day is not None and self.own_visit is None:
            raise ValueError("the day has no place for this request")
        return self

    @property
    def own_visit(self) -> PlannedVisit | None:
        """Her place in `day`."""
        visits = () if self.day is None else self.day.visits
        return next((each for each in visits if each.visit == self.request.id), None)


class BookingChange(Document):
    """What is to change; a field left out stays as it is."""

    client: Text | None = None
    windows: Annotated[tuple[TimeWindow, ...], Field(min_length=1, max_length=62)] | None = None
    """When it suits the client, for a booking that has no place yet."""
    value: MinorUnits | None = None
    tolerance: Minutes | None = None
    """By how much a plan may move the promised start, either way; the finish promised stays."""
    latest_finish: Timestamp | None = None
    """When she is done at the latest; null takes it off the promise."""
    opening: Opening | None = None
    """Another place in the book: the old one is given up and this one taken, or neither."""

    @model_validator(mode="after")
    def _changes_something(self) -> Self:
        if not self.model_fields_set:
            raise ValueError("state at least one field to change")
        return self


class BookingRecord(Document):
    """A booking as the salon keeps it.

    `TENTATIVE` waits for a place, `CONFIRMED` has a place and a promise, `CANCELLED` has neither
    any more.
    """

    id: Identifier
    status: BookingStatus
    request: Request
    """What was asked, with its phases and hair as they were reckoned when it was asked."""
    take_off: TakeOffRequest | None = None
    """The style the phases were reckoned from, where one was given."""
    promise: Promise | None = None
    placed: PlannedVisit | None = None
    freed: PlannedVisit | None = None
    """The place it had when it was called off."""
    created_at: datetime
    changed_at: datetime

    def as_booking(self) -> Booking:
        """The booking a day book speaks of. Only for one that has a promise."""
        if self.promise is None:
            raise ValueError(f"{self.id} has no promise")
        visit = {
            name: getattr(self.request, name)
            for name in Booking.model_fields
            if name in type(self.request).model_fields
        }
        return Booking(**visit, status=self.status, promise=self.promise, placed=self.placed)


class OpeningTaken(Problem):
    """The opening is gone; these are left."""

    openings: tuple[Opening, ...] = ()
