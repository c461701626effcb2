"""One day in grid steps: what the model, the greedy start and the bounds are built from.

Time is counted in steps of the grid from `Day.origin`, the first opening, so that every time of a
plan is an integer. Windows are shrunk to the grid: what does not reach a step is not counted.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date as calendar_date
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import TYPE_CHECKING

from schemas.booking import Booking, BookingStatus, Request
from schemas.plan import BreakKind
from schemas.resources import Shift, StaffMember
from schemas.rules import RuleSetting
from schemas.windows import TimeWindow
from schemas.work import PhaseWork, Place
from solver.frame import Frame
from solver.model.shelf import Shelf

if TYPE_CHECKING:
    from solver.model.dues import Due

Span = tuple[int, int]
"""A half-open span `[start, end)` in steps."""


@lru_cache(maxsize=512)
def hundredths(value: float) -> int:
    """A pace or a help rate as hundredths, half rounded up, read as it is written."""
    return int((Decimal(str(value)) * 100).quantize(Decimal(1), ROUND_HALF_UP))


@dataclass(frozen=True)
class GivenBreak:
    """A break of the day book: where it starts, in steps, and the visit it lies in."""

    kind: BreakKind
    start: int
    inside: str | None


@dataclass(frozen=True)
class Elsewhere:
    """Work of one person on another day, `[start, end)` in minutes from the origin."""

    person: str
    start: int
    end: int
    handwork: bool
    """Else a rest break, which counts as work too."""
    later: bool
    """It is expected to come, and not done yet."""

    @property
    def minutes(self) -> int:
        return self.end - self.start


@dataclass(frozen=True)
class DayShift:
    """One shift of one person: a pair of hands for a while."""

    index: int
    shift: Shift
    person: StaffMember
    start: int
    end: int
    start_minute: int
    """Minutes from the origin, before shrinking to the grid."""
    minutes: int
    """Length on the clock."""
    given: tuple[GivenBreak, ...]
    """Breaks the day book has for it already, in order of time."""
    overtime: int = 0
    """Steps past its end that work may take, within the openings; 0 where none is allowed."""

    @property
    def limit(self) -> int:
        """The step at which all work has ended."""
        return self.end + self.overtime


@dataclass(frozen=True)
class ChairGroup:
    """Chairs that are alike: same features, same closures, same turnaround."""

    index: int
    chairs: tuple[str, ...]
    features: frozenset[str]
    tags: frozenset[str]
    closed: tuple[Span, ...]


@dataclass(frozen=True)
class DayVisit:
    """A visit that may be or must be placed on this day."""

    index: int
    visit: Booking | Request
    must: bool
    """A confirmed booking: it is placed, or the day is infeasible."""
    value: int
    """What accepting it is worth; 0 where it must be placed anyway."""

    @property
    def id(self) -> str:
        return self.visit.id

    @property
    def phases(self) -> tuple[PhaseWork, ...]:
        return self.visit.phases

    @property
    def needs_chair(self) -> bool:
        return any(phase.place is not Place.NOWHERE for phase in self.visit.phases)


@dataclass(frozen=True)
class Day:
    """All facts of one day, in steps."""

    date: calendar_date
    grid: int
    arrivals: int
    frame: Frame
    """Minute 0 is step 0."""
    openings: tuple[Span, ...]
    shifts: tuple[DayShift, ...]
    groups: tuple[ChairGroup, ...]
    basins: tuple[str, ...]
    visits: tuple[DayVisit, ...]
    settings: dict[str, RuleSetting]
    """The rules in force, by code."""
    shelves: dict[str, Shelf] = field(default_factory=dict)
    """Hair by material, where `hair-on-hand` is in force."""
    listed: tuple[RuleSetting, ...] = ()
    """The rules in force; one that is set several times is there as often."""
    dues: tuple[Due, ...] = ()
    """The breaks that the rules ask of its shifts."""
    answered: frozenset[tuple[str, int, int]] = frozenset()
    """Keys of breaks due that one taken already, by another rule too, has answered."""

    elsewhere: tuple[Elsewhere, ...] = ()
    """What people do on other days of the book."""

    @property
    def horizon(self) -> Span:
        """Every step that work can fall on."""
        return min(start for start, _ in self.openings), max(end for _, end in self.openings)

    def up(self, minute: int) -> int:
        """The first step at or after a minute."""
        return -(-minute // self.grid)

    def down(self, minute: int) -> int:
        """The last step at or before a minute."""
        return minute // self.grid

    def steps(self, window: TimeWindow) -> Span:
        """The window shrunk to the grid; empty (`end <= start`) where it holds no step."""
        start, end = self.frame.span(window)
        return self.up(start), self.down(end)

    def window(self, start: int, end: int) -> TimeWindow:
        return self.frame.window(start * self.grid, end * self.grid)

    def clock(self, step: int) -> str:
        """The local time of a step, as people write it."""
        return self.frame.instant(step * self.grid).strftime("%H:%M")

    def is_arrival(self, step: int) -> bool:
        """Whether a client may arrive: the local time is a multiple of the arrivals grid."""
        return self.time_of_day(step) % self.arrivals == 0

    def time_of_day(self, step: int) -> int:
        """Minutes from midnight on the wall clock."""
        local = self.frame.instant(step * self.grid)
        return local.hour * 60 + local.minute

    def local_date(self, minute: int) -> calendar_date:
        """The date on the wall clock at a minute from the origin."""
        return self.frame.local_day(self.frame.instant(minute))

    def work(self, phase: PhaseWork, person: StaffMember) -> int:
        """Steps the phase takes this person alone."""
        return -(-phase.minutes * hundredths(person.pace) // (100 * self.grid))

    def setting(self, code: str) -> RuleSetting | None:
        """The rule's setting where it is in force."""
        return self.settings.get(code)

    def settings_of(self, code: str) -> tuple[RuleSetting, ...]:
        """Every setting in force of a rule that may be set several times."""
        return tuple(setting for setting in self.listed if setting.code == code)


def number(setting: RuleSetting, name: str, default: int) -> int:
    """A whole-number parameter of a rule, or the house default."""
    value = setting.parameters.get(name, default)
    return value if isinstance(value, int) else default


def word(setting: RuleSetting, name: str, default: str) -> str:
    """A parameter of a rule that is a word, or the house default."""
    value = setting.parameters.get(name, default)
    return value if isinstance(value, str) else default


def minute_of_day(setting: RuleSetting, name: str, default: str) -> int:
    """A parameter `HH:MM` as minutes from midnight on the wall clock, or the house default."""
    hours, minutes = word(setting, name, default).split(":")
    return int(hours) * 60 + int(minutes)


def worth(visit: Booking | Request) -> int:
    """What accepting a visit is worth: its value or its work minutes; 0 if it is promised."""
    if is_promised(visit):
        return 0
    stated = visit.value if isinstance(visit, Request) else None
    return sum(phase.minutes for phase in visit.phases) if stated is None else stated


def is_promised(visit: Booking | Request) -> bool:
    return isinstance(visit, Booking) and visit.status is BookingStatus.CONFIRMED
