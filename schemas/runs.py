"""Planning runs: what is ordered, how far it has come, what came of it."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.plan import PlanResult
from schemas.problems import Problem
from schemas.units import Day, Flag, Identifier, Number

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
    FAILED = "failed"


class PlanRun(Document):
    """A plan that was ordered. `result` is there once it is done, `problem` if it failed."""

    id: Identifier
    state: RunState
    order: PlanOrder
    fraction: Annotated[float, Field(ge=0, le=1)] = 0.0
    """How much of the time given has been used; 1 when done."""
    created_at: datetime
    published: Flag = False
    book_revision: Annotated[int, Field(ge=0)] = 0
    """The state of the book the plan was made from."""
    result: PlanResult | None = None
    problem: Problem | None = None
