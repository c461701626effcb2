"""What already is and cannot be undone: phases begun, breaks taken, chairs sat on.

A held phase keeps its start, its performer and the help that began; where it is over it keeps its
end too, where it goes on its end follows from its work. Everything else begins at `now` or later.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from schemas.plan import BreakKind, PlannedBreak, PlannedVisit
from solver.model.facts import Day, DayShift


@dataclass(frozen=True)
class HeldHelp:
    """Help of one person, `[start, end)` in steps; without an end it goes on."""

    staff: str
    start: int
    end: int | None


@dataclass(frozen=True)
class HeldPhase:
    """A phase that has begun; without an end it goes on."""

    performer: str
    start: int
    end: int | None
    help: tuple[HeldHelp, ...] = ()


@dataclass(frozen=True)
class HeldVisit:
    """A visit's phases that have begun, from the first; its lead if she stays, and its chair."""

    phases: tuple[HeldPhase, ...]
    lead: str | None = None
    chair: str | None = None


@dataclass(frozen=True)
class HeldBreak:
    """A break that has begun; `inside` names the visit it interrupts."""

    staff: str
    kind: BreakKind
    start: int
    size: int
    inside: str | None


@dataclass(frozen=True)
class Held:
    """Everything held, by visit id. `now` is the first step at which anything else may begin."""

    now: int | None = None
    visits: dict[str, HeldVisit] = field(default_factory=dict)
    earliest: dict[str, int] = field(default_factory=dict)
    """Visits whose client is not there before a step."""
    breaks: tuple[HeldBreak, ...] = ()
    later: tuple[HeldBreak, ...] = ()
    """Breaks still to come, as they were told; they may move."""


def held_break(day: Day, rest: PlannedBreak) -> HeldBreak:
    """A planned break as it is held or was told."""
    start, end = day.steps(rest.window)
    return HeldBreak(rest.staff, rest.kind, start, end - start, rest.inside)


def shift_at(day: Day, staff: str, step: int) -> DayShift | None:
    """The shift of a person that a step lies in."""
    for shift in day.shifts:
        if shift.person.id == staff and shift.start <= step < shift.limit:
            return shift
    return None


def held_visit(
    day: Day, planned: PlannedVisit, begun: int | None = None, now: datetime | None = None
) -> HeldVisit:
    """A planned visit's first `begun` phases (all, if left out) as they are.

    With `now`, a phase or a help that ends after it goes on; without, everything keeps its end.
    Times are rounded down to steps: what a day book holds lies on the grid.
    """

    def step(instant: datetime) -> int:
        return day.down(day.frame.minute(instant))

    def end(instant: datetime) -> int | None:
        return None if now is not None and instant > now else step(instant)

    return HeldVisit(
        phases=tuple(
            HeldPhase(
                performer=phase.performer,
                start=step(phase.window.start),
                end=end(phase.window.end),
                help=tuple(
                    HeldHelp(given.staff, step(given.window.start), end(given.window.end))
                    for given in phase.help
                    if now is None or given.window.start < now
                ),
            )
            for phase in planned.phases[:begun]
        ),
        lead=planned.lead,
        chair=planned.chair,
    )
