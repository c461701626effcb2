"""A place for a request that others' chairs, crews and breaks make room for."""

from __future__ import annotations

import datetime
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from schemas.base import Document
from schemas.booking import Request
from schemas.openings import Wish
from schemas.plan import Plan, PlannedVisit
from schemas.repair import Difference
from schemas.units import Identifier, Number

DAY_SECONDS = 0.3
"""Time for one day, if nobody says otherwise."""


class Depth(StrEnum):
    """How far a place is sought."""

    AS_BOOKED = "as-booked"
    """In the book as it stands."""
    WITH_REARRANGING = "with-rearranging"
    """Where others may move; no promise does."""


class Room(StrEnum):
    """Whether a day has room for a request."""

    AS_BOOKED = "as-booked"
    """Yes, as the book stands; at most a break of her own crew moves."""
    WITH_REARRANGING = "with-rearranging"
    """Yes, where something moves for somebody else; no promise does."""
    NONE = "none"
    """No: proved, whatever moves within the promises."""
    OUT_OF_TIME = "out-of-time"
    """No way was found in the time, and none was proved impossible."""


class RearrangingQuestion(Document):
    """A request, and how many days to look at for it with rearranging."""

    request: Request
    wish: Wish = Wish.SOONEST
    """By which the place is chosen on a day that has one as booked."""
    days: Annotated[int, Field(ge=1, le=31), Number] = 7
    """At most so many of the days that suit her are looked at, the first ones."""
    enough: Annotated[int, Field(ge=1, le=31), Number] = 3
    """Once so many have room, no further day is looked at."""
    seconds: Annotated[float, Field(ge=0.1, le=5), Number] = DAY_SECONDS
    """For each day, on the clock."""
    seed: Annotated[int, Field(ge=0, le=2_147_483_647), Number] = 1


class RearrangedDay(Document):
    """One day looked at for one request, others' visits moved within their promises."""

    request: Identifier
    date: datetime.date
    """The local day of its first opening hour."""
    room: Room
    visit: PlannedVisit | None = None
    """Her place: start, finish, chair, lead, and the hours of who assists."""
    plan: Plan | None = None
    """The whole day as it then is."""
    moves: tuple[Difference, ...] = ()
    """What is not as it was told: who must hear of it, and what to say. Her own place is not among
    them."""


class RearrangingAnswer(Document):
    """The days that were looked at, in order of time."""

    request: Identifier
    days: tuple[RearrangedDay, ...]
