"""What people were told, in steps, and what a repair owes them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field

from schemas.plan import PlannedVisit
from schemas.windows import TimeWindow
from solver.model.facts import Day
from solver.model.held import Held
from solver.model.matching import match_breaks
from solver.model.placement import DayPlacement, VisitPlacement


@dataclass(frozen=True)
class ToldPhase:
    """A phase as it was told; `help` gives `[start, end)` by person."""

    start: int
    end: int
    performer: str
    help: dict[str, tuple[int, int]]
    over: bool
    """It is past: nobody needs to hear of it."""


@dataclass(frozen=True)
class ToldVisit:
    lead: str
    phases: tuple[ToldPhase, ...]

    @classmethod
    def of(cls, day: Day, placed: PlannedVisit, over: Collection[int] = ()) -> ToldVisit:
        """What was told of a visit that is placed so; `over` numbers the phases that are past."""

        def steps(window: TimeWindow) -> tuple[int, int]:
            frame = day.frame
            return day.down(frame.minute(window.start)), day.down(frame.minute(window.end))

        return cls(
            lead=placed.lead,
            phases=tuple(
                ToldPhase(
                    *steps(phase.window),
                    performer=phase.performer,
                    help={given.staff: steps(given.window) for given in phase.help},
                    over=number in over,
                )
                for number, phase in enumerate(placed.phases)
            ),
        )

    @property
    def start(self) -> int:
        return self.phases[0].start

    @property
    def end(self) -> int:
        return self.phases[-1].end


@dataclass(frozen=True)
class Owed:
    """A promise in minutes of the day's frame."""

    start: int
    tolerance: int
    lead: str | None
    latest_finish: int | None


@dataclass(frozen=True)
class RepairTask:
    """What to hold, what was told, what is owed, what may be left out and at what weight."""

    held: Held
    told: dict[str, ToldVisit]
    owed: dict[str, Owed]
    weights: dict[str, int]
    """What leaving a visit out weighs, in broken promises."""
    wanted: frozenset[str] = frozenset()
    """Visits that would be taken in."""
    near: frozenset[str] = field(default_factory=frozenset)
    """Visits that the events touch: the quick answer moves these alone."""


START_WEIGHT, LEAD_WEIGHT, FINISH_WEIGHT = 1, 1, 1


def broken(day: Day, task: RepairTask, placement: DayPlacement) -> int:
    """The weight of the promises that a placement breaks."""
    placed = {day.visits[visit.visit].id: visit for visit in placement.visits}
    total = sum(
        weight
        for name, weight in task.weights.items()
        if name not in placed and name not in task.wanted
    )
    for name, owed in task.owed.items():
        if name in placed:
            total += _broken(day, owed, placed[name])
    return total


def _broken(day: Day, owed: Owed, placed: VisitPlacement) -> int:
    late = owed.latest_finish is not None and placed.end * day.grid > owed.latest_finish
    return (
        START_WEIGHT * (abs(placed.start * day.grid - owed.start) > owed.tolerance)
        + LEAD_WEIGHT * (owed.lead is not None and owed.lead != placed.lead)
        + FINISH_WEIGHT * late
    )


def turned_away(day: Day, task: RepairTask, placement: DayPlacement) -> int:
    """How many of those who would be taken in are not."""
    return len(task.wanted - {day.visits[visit.visit].id for visit in placement.visits})


def people_told(day: Day, task: RepairTask, placement: DayPlacement) -> int:
    """How many clients and people of the house must hear something new."""
    placed = {day.visits[visit.visit].id: visit for visit in placement.visits}
    clients = sum(_client_hears(told, placed.get(name)) for name, told in task.told.items())
    staff = {
        person
        for name, visit in placed.items()
        for person in _who_hears(day, task.told.get(name), visit)
    }
    staff |= {
        person
        for name, told in task.told.items()
        if name not in placed
        for phase in told.phases
        if not phase.over
        for person in (phase.performer, *phase.help)
    }
    staff |= {person for person, _ in _moved_breaks(day, task, placement)}
    return clients + len(staff & {shift.person.id for shift in day.shifts})


def _client_hears(told: ToldVisit, visit: VisitPlacement | None) -> bool:
    if visit is None:
        return True
    return (told.start, told.end, told.lead) != (visit.start, visit.end, visit.lead)


def _who_hears(day: Day, told: ToldVisit | None, visit: VisitPlacement) -> set[str]:
    people: set[str] = set()
    for number, phase in enumerate(visit.phases):
        old = told.phases[number] if told is not None else None
        if old is not None and old.over:
            continue
        new = {
            (day.shifts[phase.shift].person.id, phase.start, phase.end, "performs"),
            *((day.shifts[h.shift].person.id, h.start, h.end, "helps") for h in phase.help),
        }
        before = set()
        if old is not None:
            before = {(old.performer, old.start, old.end, "performs")}
            before |= {(who, start, end, "helps") for who, (start, end) in old.help.items()}
        people |= {who for who, *_ in new ^ before}
    return people


def _moved_breaks(day: Day, task: RepairTask, placement: DayPlacement) -> list[tuple[str, int]]:
    starts = {rest.due.key: rest.start for rest in placement.breaks}
    return [
        (told.staff, abs(starts[key] - told.start))
        for key, told in match_breaks(day, task.held).later.items()
        if key in starts and starts[key] != told.start
    ]


def steps_moved(day: Day, task: RepairTask, placement: DayPlacement) -> int:
    """Steps by which starts, finishes and breaks moved; who is taken in counts until her end."""
    placed = {day.visits[visit.visit].id: visit for visit in placement.visits}
    visits = sum(
        abs(placed[name].start - told.start) + abs(placed[name].end - told.end)
        for name, told in task.told.items()
        if name in placed
    )
    taken_in = sum(
        placed[name].end - (task.held.now or 0) for name in task.wanted if name in placed
    )
    return visits + taken_in + sum(moved for _, moved in _moved_breaks(day, task, placement))
