"""One day as the salon lives it: chairs, crews, phases, breaks."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from schemas.base import Document
from schemas.booking import BookingStatus
from schemas.plan import PlannedBreak, PlannedPhase
from schemas.rules import Finding
from schemas.units import Identifier, Text, Zone
from schemas.windows import TimeWindow


class DutyRole(StrEnum):
    """As what a person works on a head."""

    PERFORMER = "performer"
    HELP = "help"


class Duty(Document):
    """One stretch of one person's work. A break inside is part of the stretch."""

    visit: Identifier
    kind: Identifier
    role: DutyRole
    chair: Identifier | None
    window: TimeWindow


class ChairDayView(Document):
    """Who sits in a chair, in order of time."""

    chair: Identifier
    name: Text
    visits: tuple[Identifier, ...]
    closures: tuple[TimeWindow, ...] = ()


class VisitDayView(Document):
    """One client's time, with her crew."""

    visit: Identifier
    client: Text
    status: BookingStatus
    """`CONFIRMED`, or `TENTATIVE` where the place is only held."""
    chair: Identifier | None
    lead: Identifier
    assistants: tuple[Identifier, ...]
    window: TimeWindow
    phases: tuple[PlannedPhase, ...]


class StaffDayView(Document):
    """One person's day, in order of time."""

    staff: Identifier
    name: Text
    shifts: tuple[TimeWindow, ...]
    duties: tuple[Duty, ...]
    breaks: tuple[PlannedBreak, ...]
    """Breaks on the book; where none is there yet, one that would do."""


class DayView(Document):
    """The day. `findings` are the rules that the book as it stands does not keep."""

    date: date
    zone: Zone
    open: TimeWindow | None
    chairs: tuple[ChairDayView, ...]
    visits: tuple[VisitDayView, ...]
    staff: tuple[StaffDayView, ...]
    waiting: tuple[Identifier, ...]
    """Bookings that would like to come on this day and have no place yet."""
    findings: tuple[Finding, ...]
