"""A plan: chair, crew, phase times and breaks for every visit, and what a solve says of it."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import Field

from schemas.base import Document
from schemas.rules import Finding
from schemas.units import Identifier, Text
from schemas.windows import TimeWindow


class BreakKind(StrEnum):
    MEAL = "meal"
    REST = "rest"


class Help(Document):
    """An assistant beside the performer, for this window of a shared phase."""

    staff: Identifier
    window: TimeWindow


class PlannedPhase(Document):
    """A phase with its hands, its place and its time."""

    kind: Identifier
    window: TimeWindow
    performer: Identifier
    basin: Identifier | None = None
    help: Annotated[tuple[Help, ...], Field(max_length=6)] = ()


class PlannedVisit(Document):
    """A visit with everything decided. Its chair is taken for the whole `window`."""

    visit: Identifier
    chair: Identifier | None
    """None only where no phase of the visit asks for a chair."""
    lead: Identifier
    window: TimeWindow
    phases: Annotated[tuple[PlannedPhase, ...], Field(min_length=1, max_length=40)]

    @property
    def assistants(self) -> tuple[str, ...]:
        """Everybody but the lead, in order of first appearance."""
        seen: dict[str, None] = {}
        for phase in self.phases:
            for person in (phase.performer, *(help_.staff for help_ in phase.help)):
                if person != self.lead:
                    seen.setdefault(person)
        return tuple(seen)


class PlannedBreak(Document):
    """A break of one person. `inside` names the visit whose braiding it stretches."""

    staff: Identifier
    kind: BreakKind
    window: TimeWindow
    inside: Identifier | None = None


class Plan(Document):
    """What is to happen. `declined` lists requests that are not given a place."""

    visits: Annotated[tuple[PlannedVisit, ...], Field(max_length=2000)] = ()
    breaks: Annotated[tuple[PlannedBreak, ...], Field(max_length=4000)] = ()
    declined: Annotated[tuple[Identifier, ...], Field(max_length=2000)] = ()


class SolveStatus(StrEnum):
    OPTIMAL = "optimal"
    """Every tier is proved best."""
    FEASIBLE = "feasible"
    """A good plan; at least one tier is not proved best within the time."""
    INFEASIBLE = "infeasible"
    """The hard rules and the promises cannot all hold."""
    OUT_OF_TIME = "out-of-time"
    """No plan was found within the time, and none was proved impossible."""


class Tier(Document):
    """One goal, solved while the goals before it stay at their values."""

    name: Identifier
    sentence: Text
    value: int
    bound: int
    """No plan can do better than this."""
    gap: Annotated[float, Field(ge=0)]
    """|value - bound| / max(1, |value|)."""
    maximised: bool


class PlanResult(Document):
    """What a solve gives back. A plan is present unless the status says there is none."""

    status: SolveStatus
    plan: Plan | None
    tiers: tuple[Tier, ...] = ()
    findings: tuple[Finding, ...] = ()
    """Soft rules that the plan bends; with no plan, the reasons."""
    peak_chairs: Annotated[int, Field(ge=0)] = 0
    seed: int = 1
