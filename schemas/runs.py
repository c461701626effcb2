"""Plans and repairs of the book on record: what is ordered, how far it is, what came of it."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.daybook import DayBook
from schemas.plan import Plan, PlanResult, SolveStatus, Tier
from schemas.problems import Problem
from schemas.repair import Difference, Event, Renegotiation
from schemas.rules import Finding
from schemas.units import Day, Flag, Identifier, Number, Text, Timestamp

LONGEST_PLAN_DAYS = 31


class PlanOrder(Document):
    """Days to plan, both included, and what to do with the plan."""

    first: Day
    last: Day
    seconds: Annotated[float, Field(ge=0.1, le=120), Number] = 10.0
    """How long the plan may be worked on, all its days together."""
    seed: Annotated[int, Field(ge=0, le=2_147_483_647), Number] = 1
    publish: Flag = False
    """Write the places back into the book, provided the book has not changed meanwhile."""

    @model_validator(mode="after")
    def _a_bounded_span(self) -> Self:
        if self.last < self.first:
            raise ValueError("last must not be before first")
        if (self.last - self.first).days >= LONGEST_PLAN_DAYS:
            raise ValueError(f"at most {LONGEST_PLAN_DAYS} days are planned at once")
        return self


class RunState(StrEnum):
    RUNNING = "running"
    DONE = "done"
    CANCELLED = "cancelled"
    """Somebody stopped it: its plan is the best that was found until then."""
    FAILED = "failed"


class PlanRun(Document):
    """A plan that was ordered. `result` is there once it is done, `problem` if it failed.

    One that was cancelled has the best plan found until then, or no result where its turn had not
    come yet. It is never published.
    """

    id: Identifier
    state: RunState
    order: PlanOrder
    fraction: Annotated[float, Field(ge=0, le=1)] = 0.0
    """How much of the work is behind it; 1 when done."""
    created_at: datetime
    published: Flag = False
    book_revision: Annotated[int, Field(ge=0)] = 0
    """The state of the book the plan was made from."""
    result: PlanResult | None = None
    problem: Problem | None = None
    notice: Text | None = None
    """What is unusual about how it is made, such as that no worker was there to make it."""


class PlanProgress(Document):
    """A better plan, a better bound, or the end; the data of one event of a progress stream.

    While it runs, `tier`, `value` and `bound` are those of one day. Of a run that has ended they
    are of the first goal and all its days together; without a plan they are left out.
    """

    plan: Identifier
    state: RunState
    fraction: Annotated[float, Field(ge=0, le=1)] = 0.0
    """How much of the work is behind it; 1 when done. It never falls."""
    day: Day | None = None
    tier: Identifier | None = None
    value: int | None = None
    """What the best plan so far reaches, in the unit of the tier."""
    bound: int | None = None
    """No plan can do better than this."""
    gap: Annotated[float, Field(ge=0)] | None = None
    """|value - bound| / max(1, |value|)."""


class RepairOrder(Document):
    """What happened to the days that are on the book, from now on."""

    events: Annotated[tuple[Event, ...], Field(min_length=1, max_length=20)]
    last: Day | None = None
    """The last day looked at, at most a week ahead; left out, today alone."""
    seconds: Annotated[float, Field(ge=0.1, le=30), Number] = 4.0
    """How long the repair may be worked on."""
    seed: Annotated[int, Field(ge=0, le=2_147_483_647), Number] = 1
    accept: Flag = False
    """Write it into the book at once where every promise holds; else it is only looked at."""


class RepairState(StrEnum):
    RUNNING = "running"
    """It is being made."""
    FAILED = "failed"
    """It could not be made; `problem` says why."""
    PROPOSED = "proposed"
    """Only looked at: the book is as it was."""
    ACCEPTED = "accepted"
    """It is in the book."""


class RepairRun(Document):
    """A repair of the book on record. Without a plan there is nothing to accept.

    While it runs, and if it failed, there is neither a status nor a plan.
    """

    id: Identifier
    state: RepairState
    order: RepairOrder
    now: Timestamp
    """The moment of the repair: what began before it stays as it was."""
    created_at: datetime
    book_revision: Annotated[int, Field(ge=0)]
    """The state of the book it was made from; it can be accepted while that is the newest."""
    status: SolveStatus | None = None
    plan: Plan | None = None
    differences: tuple[Difference, ...] = ()
    renegotiate: tuple[Renegotiation, ...] = ()
    tiers: tuple[Tier, ...] = ()
    findings: tuple[Finding, ...] = ()
    """Soft rules that are bent; with no plan, why."""
    problem: Problem | None = None
    notice: Text | None = None
    """What is unusual about how it is made, such as that no worker was there to make it."""


class RepairRecord(Document):
    """A repair as the salon keeps it, with the facts that accepting it writes into the book."""

    id: Identifier
    run: RepairRun
    day_book: DayBook | None = None
