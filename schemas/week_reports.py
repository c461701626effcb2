"""Figures of a week beside the chairs: people, pairs, idle time, demand turned away, the trend."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from schemas.base import Document
from schemas.openings import Obstacle
from schemas.reports import ActualMinutes, ChairMinutes, Definition, MinuteSum
from schemas.units import Identifier, Text, Timestamp, Zone
from schemas.windows import TimeWindow

WeekName = Annotated[str, Field(pattern=r"^\d{4}-W\d{2}$")]
Tally = Annotated[int, Field(ge=0)]
Hour = Annotated[int, Field(ge=0, le=23)]


class WeekReport(Document):
    """What every report of a week begins with."""

    week: WeekName
    first_day: date
    last_day: date
    zone: Zone
    definitions: tuple[Definition, ...]


class StaffMinutes(Document):
    """Minutes of one person. `available = shift - breaks = leading + carrying + helping + idle`."""

    shift: MinuteSum
    breaks: MinuteSum
    available: MinuteSum
    leading: MinuteSum
    carrying: MinuteSum
    helping: MinuteSum
    worked: MinuteSum
    idle: MinuteSum
    beyond: MinuteSum
    utilisation: float | None
    """worked / available; none where she was not there."""


class StaffDay(Document):
    date: date
    minutes: StaffMinutes


class StaffWeek(Document):
    staff: Identifier
    name: Text
    lead: bool
    """Whether she may own installs; the others are assistants."""
    total: StaffMinutes
    days: tuple[StaffDay, ...]


class StaffUtilisation(WeekReport):
    """How the hours of the people were used in one ISO week."""

    staff: tuple[StaffWeek, ...]
    leads: StaffMinutes
    assistants: StaffMinutes
    total: StaffMinutes


class PairMinutes(Document):
    """What one person did on another's installs."""

    visits: Tally
    help: MinuteSum
    saved: Annotated[float, Field(ge=0)]
    carried: MinuteSum


class Pair(Document):
    lead: Identifier
    assistant: Identifier
    minutes: PairMinutes


class Pairing(WeekReport):
    """Who worked beside whom in one ISO week."""

    pairs: tuple[Pair, ...]
    total: PairMinutes
    """The sums of the pairs; a visit with two assistants counts in both."""


class IdleMinutes(Document):
    """`idle = too_short + no_lead + no_assistant + no_client`."""

    idle: MinuteSum
    too_short: MinuteSum
    no_lead: MinuteSum
    no_assistant: MinuteSum
    no_client: MinuteSum


class IdleDay(Document):
    date: date
    minutes: IdleMinutes


class IdleHour(Document):
    date: date
    hour: Hour
    minutes: IdleMinutes


class BottleneckCause(StrEnum):
    NO_LEAD = "no-lead"
    NO_SKILL = "no-skill"
    """Leads were free, and none of them does what was asked for in vain."""
    NO_ASSISTANT = "no-assistant"
    NO_CHAIR = "no-chair"
    NONE = "none"


class Bottleneck(Document):
    """What held the week back most, in one sentence, and the figures behind it."""

    cause: BottleneckCause
    sentence: Text
    window: TimeWindow | None = None
    lost: MinuteSum = 0
    """Chair minutes that stood idle for it; with `no-chair`, lead minutes."""
    hands: Tally = 0
    """Leads or assistants on shift at the busiest moment of the window; with `no-chair`, chairs."""
    idle: Annotated[float, Field(ge=0)] = 0.0
    """Idle chairs, or idle leads with `no-chair`, on average over the window."""


class IdleCauses(WeekReport):
    """Where the idle minutes of the chairs come from."""

    shortest: MinuteSum
    """Minutes of the shortest visit the salon sells; a hole below it cannot be sold."""
    days: tuple[IdleDay, ...]
    hours: tuple[IdleHour, ...]
    total: IdleMinutes
    bottleneck: Bottleneck


class TurnedAwayRecord(Document):
    """A request that was asked for and found no opening. Nothing is kept of who she is."""

    id: Identifier
    """The request."""
    asked_at: Timestamp
    windows: Annotated[tuple[TimeWindow, ...], Field(max_length=62)]
    technique: Identifier | None = None
    minutes: MinuteSum
    """Its work, for one person of pace 1."""
    obstacles: Annotated[tuple[Obstacle, ...], Field(max_length=60)] = ()
    """The rules in the way when it was last asked, those that closed most places first."""
    times: Annotated[int, Field(ge=1)] = 1
    """How often it was asked in vain."""


class Loss(StrEnum):
    """What became of a request that has no place."""

    NOTHING_FOUND = "nothing-found"
    """No opening was found, and it was not booked after all."""
    WAITED_IN_VAIN = "waited-in-vain"
    """It was kept without a place until its windows were over."""
    STILL_WAITING = "still-waiting"
    """It is kept without a place; its windows are not over."""
    CALLED_OFF = "called-off"
    """It was booked and called off."""


class TurnedAwayLine(Document):
    request: Identifier
    loss: Loss
    date: date
    """The first day it was asked for, or the day of the place it had."""
    technique: Identifier | None
    minutes: MinuteSum
    rule: Identifier | None
    """The rule that closed most places; none where nobody asked."""
    why: Text


class LossTotal(Document):
    loss: Loss
    requests: Tally
    minutes: MinuteSum


class WhyTotal(Document):
    """Requests for which nothing was found, by the rule that closed most places."""

    rule: Identifier
    sentence: Text
    requests: Tally
    minutes: MinuteSum


class TurnedAway(WeekReport):
    """Demand that got no place in one ISO week, and why."""

    lines: tuple[TurnedAwayLine, ...]
    losses: tuple[LossTotal, ...]
    reasons: tuple[WhyTotal, ...]
    came_after_all: Tally
    """Requests that found nothing at first and were booked later; in no line."""
    served: Tally
    """Bookings that stand in the week, for comparison."""


class TrendWeek(Document):
    week: WeekName
    first_day: date
    chairs: ChairMinutes
    actual: ActualMinutes
    leads: StaffMinutes
    assistants: StaffMinutes
    visits: Tally
    change: float | None
    """Chair utilisation less that of the week before, in shares; none without one of the two."""


class WeekTrend(Document):
    """Week against week, the oldest first."""

    zone: Zone
    definitions: tuple[Definition, ...]
    weeks: tuple[TrendWeek, ...]
