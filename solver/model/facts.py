"""One day in grid steps: what the model, the greedy start and the bounds are built from.

Time is counted in steps of the grid from `Day.origin`, the first opening, so that every time of a
plan is an integer. Windows are shrunk to the grid: what does not reach a step is not counted.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from zoneinfo import ZoneInfo

from schemas.booking import Booking, BookingStatus, Request
from schemas.daybook import DayBook
from schemas.plan import BreakKind
from schemas.resources import Role, Shift, StaffMember
from schemas.rules import RuleSetting
from schemas.windows import TimeWindow
from schemas.work import Performer, PhaseWork, Place
from solver.frame import Frame

Span = tuple[int, int]
"""A half-open span `[start, end)` in steps."""


def hundredths(value: float) -> int:
    """A pace or a help rate as hundredths, half rounded up, read as it is written."""
    return int((Decimal(str(value)) * 100).quantize(Decimal(1), ROUND_HALF_UP))


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
    meal_hint: int | None
    """Step at which the day book has her meal break already."""


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

    date: date
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
        local = self.frame.instant(step * self.grid)
        return (local.hour * 60 + local.minute) % self.arrivals == 0

    def work(self, phase: PhaseWork, person: StaffMember) -> int:
        """Steps the phase takes this person alone."""
        return -(-phase.minutes * hundredths(person.pace) // (100 * self.grid))

    def setting(self, code: str) -> RuleSetting | None:
        """The rule's setting where it is in force."""
        return self.settings.get(code)


def masters_phase(phase: PhaseWork, person: StaffMember) -> bool:
    return not person.retired and person.masters(phase.skill, phase.level)


def can_perform(visit: Booking | Request, phase: PhaseWork, person: StaffMember) -> bool:
    """Whether this person could perform the phase in some role on this visit."""
    if not masters_phase(phase, person):
        return False
    if phase.performer is Performer.LEAD:
        return can_lead(visit, person)
    return Role.ASSISTANT in person.roles or can_lead(visit, person)


def can_lead(visit: Booking | Request, person: StaffMember) -> bool:
    """Whether this person could own the visit: role, refusals, and the phases of a lead."""
    return (
        not person.retired
        and Role.LEAD in person.roles
        and person.id not in visit.refused_leads
        and visit.required_lead in {None, person.id}
        and all(
            masters_phase(phase, person)
            for phase in visit.phases
            if phase.performer is Performer.LEAD
        )
    )


def can_help(phase: PhaseWork, person: StaffMember) -> bool:
    """Whether this person could braid beside the performer."""
    return (
        phase.shared
        and phase.help_skill is not None
        and not person.retired
        and Role.ASSISTANT in person.roles
        and person.masters(phase.help_skill)
    )


def number(setting: RuleSetting, name: str, default: int) -> int:
    """A whole-number parameter of a rule, or the house default."""
    value = setting.parameters.get(name, default)
    return value if isinstance(value, int) else default


def build_day(
    day_book: DayBook,
    openings: Iterable[TimeWindow],
    shifts: Iterable[Shift],
    visits: Iterable[Booking | Request],
    settings: Iterable[RuleSetting],
) -> Day:
    """Restate these openings, shifts and visits of the day book in steps."""
    windows = sorted(openings, key=lambda window: window.start)
    grid = day_book.grid.minutes
    zone = ZoneInfo(day_book.zone)
    first = windows[0].start.astimezone(zone)
    past_the_grid = (first.hour * 60 + first.minute) % grid
    origin = windows[0].start.astimezone(UTC) - timedelta(minutes=past_the_grid)
    frame = Frame(origin, zone)
    bare = Day(
        date=first.date(),
        grid=grid,
        arrivals=day_book.grid.arrivals,
        frame=frame,
        openings=(),
        shifts=(),
        groups=(),
        basins=tuple(basin.id for basin in day_book.basins),
        visits=(),
        settings={setting.code: setting for setting in settings if setting.on},
    )
    return Day(
        **{
            **bare.__dict__,
            "openings": tuple(bare.steps(window) for window in windows),
            "shifts": _day_shifts(day_book, bare, shifts),
            "groups": _chair_groups(day_book, bare, windows),
            "visits": tuple(_day_visit(index, visit) for index, visit in enumerate(visits)),
        }
    )


def _day_shifts(day_book: DayBook, day: Day, shifts: Iterable[Shift]) -> tuple[DayShift, ...]:
    people = {person.id: person for person in day_book.staff}
    found: list[DayShift] = []
    for shift in shifts:
        start, end = day.steps(shift.window)
        meals = [
            day.up(day.frame.minute(given.window.start))
            for given in day_book.breaks
            if given.staff == shift.staff
            and given.kind is BreakKind.MEAL
            and shift.window.contains(given.window)
        ]
        found.append(
            DayShift(
                index=len(found),
                shift=shift,
                person=people[shift.staff],
                start=start,
                end=end,
                start_minute=day.frame.minute(shift.window.start),
                minutes=shift.window.minutes,
                meal_hint=meals[0] if meals else None,
            )
        )
    return tuple(found)


def _chair_groups(day_book: DayBook, day: Day, windows: list[TimeWindow]) -> tuple[ChairGroup, ...]:
    """Chairs that no rule of this day tells apart share a group."""
    hours = TimeWindow(start=windows[0].start, end=windows[-1].end)
    turnaround = day.setting("turnaround")
    scope = frozenset(turnaround.scope.chair_tags) if turnaround else frozenset()
    alike: dict[tuple[frozenset[str], frozenset[str], tuple[Span, ...]], list[str]] = {}
    for chair in day_book.chairs:
        if chair.retired:
            continue
        # A closure is widened to the grid: the chair is free only on whole steps.
        closed = sorted(
            (day.down(start), day.up(end))
            for start, end in (
                day.frame.span(closure.window)
                for closure in day_book.closures
                if closure.chair == chair.id and closure.window.overlaps(hours)
            )
        )
        key = (frozenset(chair.features), frozenset(chair.tags) & scope, tuple(closed))
        alike.setdefault(key, []).append(chair.id)
    return tuple(
        ChairGroup(index, tuple(chairs), features, tags, closed)
        for index, ((features, tags, closed), chairs) in enumerate(alike.items())
    )


def worth(visit: Booking | Request) -> int:
    """What accepting a visit is worth: its value or its work minutes; 0 if it is promised."""
    if _must(visit):
        return 0
    stated = visit.value if isinstance(visit, Request) else None
    return sum(phase.minutes for phase in visit.phases) if stated is None else stated


def _must(visit: Booking | Request) -> bool:
    return isinstance(visit, Booking) and visit.status is BookingStatus.CONFIRMED


def _day_visit(index: int, visit: Booking | Request) -> DayVisit:
    return DayVisit(index=index, visit=visit, must=_must(visit), value=worth(visit))
