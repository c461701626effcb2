"""What happens during a day, and the repaired day: what changed, who is told, what to say."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Literal

from pydantic import Field

from schemas.base import Document
from schemas.booking import Promise, Request
from schemas.daybook import DayBook
from schemas.plan import Plan, SolveStatus, Tier
from schemas.rules import Finding
from schemas.units import Identifier, Number, Text, Timestamp, WorkMinutes


class LateArrival(Document):
    """A client comes later than planned."""

    kind: Literal["late-arrival"] = "late-arrival"
    visit: Identifier
    arrives: Timestamp
    """When she is there, or is expected to be."""


class Overrun(Document):
    """A phase takes longer than planned."""

    kind: Literal["overrun"] = "overrun"
    visit: Identifier
    minutes: WorkMinutes
    """Minutes of the performer's own work on top, counted from the planned end of the phase."""
    phase: Annotated[int, Field(ge=0, le=39), Number] | None = None
    """Which phase, from 0; left out, the one that is running, or else the next."""


class SickPerson(Document):
    """Somebody is not able to work from a moment on."""

    kind: Literal["sick"] = "sick"
    staff: Identifier
    start: Timestamp
    until: Timestamp | None = None
    """Left out, the shift she is in, or the next one, is cut short."""


class NoShow(Document):
    """A client does not come at all."""

    kind: Literal["no-show"] = "no-show"
    visit: Identifier


class WalkIn(Document):
    """A client is at the door; she is taken if no promise breaks by it."""

    kind: Literal["walk-in"] = "walk-in"
    request: Request


class BrokenChair(Document):
    """A chair cannot be used."""

    kind: Literal["broken-chair"] = "broken-chair"
    chair: Identifier
    start: Timestamp
    until: Timestamp | None = None
    """Left out, for the rest of that day."""


Event = Annotated[
    LateArrival | Overrun | SickPerson | NoShow | WalkIn | BrokenChair,
    Field(discriminator="kind"),
]


class RepairRequest(Document):
    """A day book, its plan as people know it, and what happened."""

    day_book: DayBook
    plan: Plan
    events: Annotated[tuple[Event, ...], Field(min_length=1, max_length=20)]
    now: Timestamp
    """What began before this moment is past: it stays as it is."""


class WhatChanged(StrEnum):
    START = "start"
    FINISH = "finish"
    LEAD = "lead"
    CREW = "crew"
    """Who works on a phase, or when she helps."""
    CHAIR = "chair"
    BREAK = "break"
    SHIFT = "shift"
    """Somebody stays longer than her shift."""
    LEFT_OUT = "left-out"
    """It has no place any more."""
    TAKEN_IN = "taken-in"
    """It has a place now."""


class Person(Document):
    """Somebody who must be told."""

    role: Literal["client", "staff"]
    id: Identifier
    """Of the visit for a client, of the person for staff."""
    name: Text


class Difference(Document):
    """One thing that is not as people were told."""

    what: WhatChanged
    visit: Identifier | None = None
    staff: Identifier | None = None
    before: Text | None = None
    after: Text | None = None
    tell: tuple[Person, ...]
    say: Annotated[str, Field(max_length=400)]


class PromisePart(StrEnum):
    PLACE = "place"
    """She cannot come at all that day, or her install cannot be finished."""
    START = "start"
    LEAD = "lead"
    LATEST_FINISH = "latest-finish"


class Renegotiation(Document):
    """A promise that does not hold any more."""

    visit: Identifier
    client: Text
    promise: Promise
    """As it was, moved with the client where she herself is late."""
    broken: tuple[PromisePart, ...]
    proposed: Promise | None
    """What the repaired plan gives instead; none where it has no place for her."""
    say: Annotated[str, Field(max_length=400)]


class RepairResult(Document):
    """The repaired day. Every hard rule holds in `day_book`, save the promises listed."""

    status: SolveStatus
    plan: Plan | None
    day_book: DayBook
    """The facts as the events left them; running phases that changed hands are split in two."""
    differences: tuple[Difference, ...] = ()
    renegotiate: tuple[Renegotiation, ...] = ()
    tiers: tuple[Tier, ...] = ()
    findings: tuple[Finding, ...] = ()
    """Soft rules that are bent; with no plan, why."""
    seed: int = 1
