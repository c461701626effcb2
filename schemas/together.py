"""Several visits asked for, or sold, together."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.booking import Request
from schemas.dealings import BookingRecord, NewBooking
from schemas.openings import Obstacle, Opening, Wish
from schemas.takeoff import TakeOffRequest
from schemas.units import Flag, Identifier, Number
from schemas.work import PhaseWork

MOST_VISITS = 12


class SeriesQuestion(Document):
    """A visit that comes again every few weeks, such as a take-down with a new install."""

    request: Request
    """The first visit. Its windows are those of the later ones too, so many weeks on by the clock
    on the wall."""
    weeks: Annotated[int, Field(ge=1, le=26), Number]
    """From one visit to the next."""
    visits: Annotated[int, Field(ge=2, le=MOST_VISITS), Number]
    """How many in all, the first included."""
    later_take_off: TakeOffRequest | None = None
    """What a later visit is, where it is another style than the first."""
    later_phases: Annotated[tuple[PhaseWork, ...], Field(max_length=40)] = ()
    """The same, where the work is stated: a take-down before the install, for example."""
    same_lead: Flag = True
    """Rather the lead of the first visit."""
    same_hour: Flag = True
    """Rather the hour of the first visit."""
    wish: Wish = Wish.SOONEST
    """Of the first visit."""

    @model_validator(mode="after")
    def _states_later_work_once(self) -> Self:
        if self.later_phases and self.later_take_off is not None:
            raise ValueError("state the later work once: either later_phases or later_take_off")
        return self


class SeriesVisit(Document):
    """One visit of a series: what is asked, and the best place for it."""

    request: Request
    opening: Opening | None
    obstacles: tuple[Obstacle, ...] = ()
    """With no opening, the rules in the way."""


class SeriesAnswer(Document):
    """The visits of a series in order. To sell them, book their openings as one set."""

    visits: tuple[SeriesVisit, ...]
    without_place: tuple[Identifier, ...]
    """Visits for which there is no place."""


class BookingSet(Document):
    """Requests with their openings, to be sold in one transaction: all of them or none.

    They are sold in this order: each opening is checked with those before it in the book.
    """

    bookings: Annotated[tuple[NewBooking, ...], Field(min_length=2, max_length=MOST_VISITS)]

    @model_validator(mode="after")
    def _each_is_an_opening_once(self) -> Self:
        if any(each.opening is None for each in self.bookings):
            raise ValueError("each needs its opening")
        if len({each.request.id for each in self.bookings}) < len(self.bookings):
            raise ValueError("a request is in the set twice")
        return self


class BookingSetRecord(Document):
    """What was booked together, in the order of the set."""

    bookings: tuple[BookingRecord, ...]
