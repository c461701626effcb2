"""Why a request does not fit, and what would make room for it."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.booking import Request
from schemas.plan import PlannedBreak, PlannedVisit
from schemas.units import Identifier, Minutes, Number, Text
from schemas.windows import TimeWindow


class WhyNotQuestion(Document):
    """A request that finds no place in the book on record: a new one, or one that waits."""

    request: Request | None = None
    waiting: Identifier | None = None
    """Id of a booking that waits for a place."""
    around: Annotated[int, Field(ge=0, le=7), Number] = 3
    """Days before and after her own that are looked at for another day."""
    seconds: Annotated[float, Field(ge=0.1, le=30), Number] = 10.0
    """Time for the reasons and the changes together."""
    seed: Annotated[int, Field(ge=0, le=2_147_483_647), Number] = 1

    @model_validator(mode="after")
    def _asks_about_one(self) -> Self:
        if (self.request is None) == (self.waiting is None):
            raise ValueError("state either a request or the id of one that is waiting")
        return self


class Fit(StrEnum):
    """Whether a request has a place beside everything promised."""

    FITS = "fits"
    DOES_NOT_FIT = "does-not-fit"
    """Proved impossible on every day that suits the client, however bookings are arranged."""
    NOT_AS_BOOKED = "not-as-booked"
    """Proved impossible as the book stands; whether arranging others anew within their promises
    would make room could not be told within the time."""
    UNKNOWN = "unknown"
    """No place was found, and for some day the time did not do to prove that there is none."""


class Reason(Document):
    """One rule in the way, or one promise; without it the others would let the request in."""

    rule: Identifier
    sentence: Text
    """The rule's own sentence."""
    detail: Annotated[str, Field(max_length=400)]
    """Who and when, with the figures."""
    visits: tuple[Identifier, ...] = ()
    staff: tuple[Identifier, ...] = ()


class DayReasons(Document):
    """What is in the way on one day: together these leave the request no place."""

    date: date
    reasons: tuple[Reason, ...]
    minimal: bool
    """Each of the reasons was shown to be needed; false where the time did not do for that."""
    as_booked: bool
    """The reasons take every booking that has a place to stay exactly there; else bookings might
    be arranged anew within their promises, and there would still be no place."""
    promises_hold: bool
    """False where the day's promises cannot all hold even without the request."""


class ChangeKind(StrEnum):
    """What would have to change."""

    OTHER_TIME = "other-time"
    OTHER_DAY = "other-day"
    OTHER_LEAD = "other-lead"
    MORE_HANDS = "more-hands"
    """The client agrees to one assistant more, who is in the salon anyway."""
    CALL_IN = "call-in"
    """Somebody comes in who is not there at that time."""
    OVERTIME = "overtime"
    CHAIR_FREED = "chair-freed"
    EXTRA_CHAIR = "extra-chair"
    MOVED_PROMISE = "moved-promise"
    """Another client agrees to come a little earlier or later."""


class ProvedChange(Document):
    """A change that makes the request fit. It was made to the day book, and a plan was found."""

    kind: ChangeKind
    sentence: Annotated[str, Field(max_length=400)]
    cost: Annotated[int, Field(ge=0)]
    """Trouble it makes, in house points; lower is better."""
    minutes: Minutes | None = None
    """How much longer, or for how long."""
    staff: Identifier | None = None
    """Whom it concerns; `extra-assistant` where nobody of the house would do."""
    chair: Identifier | None = None
    visit: Identifier | None = None
    """The other booking it concerns."""
    window: TimeWindow | None = None
    """The hours to be worked more, or the hours that would have to suit the client."""
    placed: PlannedVisit
    """Where the request then goes."""
    breaks: tuple[PlannedBreak, ...] = ()
    """Breaks of its crew on that day in that plan."""


class Explanation(Document):
    """Whether a request fits beside the confirmed bookings; if not, why, and what would help."""

    request: Identifier
    fit: Fit
    placed: PlannedVisit | None = None
    """A place for it, if it fits."""
    days: tuple[DayReasons, ...] = ()
    days_left_out: Annotated[int, Field(ge=0)] = 0
    """Further days that suit the client and were not looked into."""
    changes: tuple[ProvedChange, ...] = ()
    """Cheapest first."""
    seconds_did: bool = True
    """Every change known was tried within the time."""
