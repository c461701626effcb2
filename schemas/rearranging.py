"""A place for a request that others' chairs, crews and breaks make room for."""

from __future__ import annotations

import datetime
from enum import StrEnum

from schemas.base import Document
from schemas.plan import Plan, PlannedVisit
from schemas.repair import Difference
from schemas.units import Identifier


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
