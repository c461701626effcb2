"""Where a day's visits and breaks end up, in grid steps, before chairs and basins have names."""

from __future__ import annotations

from dataclasses import dataclass, field

from solver.model.dues import Due


@dataclass(frozen=True)
class HelpPlacement:
    """An assistant's shift beside the performer, `[start, end)` in steps."""

    shift: int
    start: int
    end: int


@dataclass(frozen=True)
class PhasePlacement:
    """A phase, the shift that performs it and its help."""

    start: int
    end: int
    shift: int
    help: tuple[HelpPlacement, ...] = ()


@dataclass(frozen=True)
class VisitPlacement:
    """A visit with its lead (a staff id), its chair group and its phases in order."""

    visit: int
    lead: str
    group: int | None
    turnaround: int
    """Steps its chair stays empty after it, before the next client."""
    phases: tuple[PhasePlacement, ...]

    @property
    def start(self) -> int:
        return self.phases[0].start

    @property
    def end(self) -> int:
        return self.phases[-1].end


@dataclass(frozen=True)
class BreakPlacement:
    """A break that was due; `inside` is the index of the visit it interrupts."""

    due: Due
    start: int
    inside: int | None = None

    @property
    def end(self) -> int:
        return self.start + self.due.size


@dataclass(frozen=True)
class DayPlacement:
    """Everything decided about one day."""

    visits: tuple[VisitPlacement, ...] = ()
    breaks: tuple[BreakPlacement, ...] = ()
    declined: tuple[int, ...] = field(default=())
