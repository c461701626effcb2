"""Write a day's placement down as a plan: names for chairs and basins, instants for steps."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from schemas.booking import Booking, Request
from schemas.plan import Help, Plan, PlannedBreak, PlannedPhase, PlannedVisit
from schemas.work import Place
from solver.colouring import Stay, colour
from solver.model.facts import Day
from solver.model.placement import DayPlacement, PhasePlacement, VisitPlacement


@dataclass(frozen=True)
class Known:
    """Places that people know: kept where they can be, and those in `fixed` always.

    `fixed` names visits for their chairs and `visit/phase` for their basins.
    """

    places: Mapping[str, PlannedVisit]
    fixed: frozenset[str] = frozenset()


def write_plan(day: Day, placement: DayPlacement, known: Known | None = None) -> Plan:
    """The day's plan, in order of start. Raises ValueError where chairs or basins are short.

    Left out, `known` is what the bookings of the day say of their places.
    """
    known = known or _booked(day)
    chairs = _name_chairs(day, placement, known)
    basins = _name_basins(day, placement, known)
    visits = tuple(
        _visit(day, placed, chairs.get(placed.visit), basins)
        for placed in sorted(placement.visits, key=lambda placed: (placed.start, placed.visit))
    )
    breaks = tuple(
        PlannedBreak(
            staff=day.shifts[rest.due.shift].person.id,
            kind=rest.due.kind,
            window=day.window(rest.start, rest.end),
            inside=None if rest.inside is None else day.visits[rest.inside].id,
        )
        for rest in sorted(placement.breaks, key=lambda rest: (rest.start, rest.due.shift))
    )
    declined = tuple(day.visits[index].id for index in placement.declined)
    return Plan(visits=visits, breaks=breaks, declined=declined)


def _booked(day: Day) -> Known:
    asked = (facts.visit for facts in day.visits)
    return Known({v.id: v.placed for v in asked if isinstance(v, Booking) and v.placed is not None})


def _name_chairs(day: Day, placement: DayPlacement, known: Known) -> dict[int, str]:
    stays: dict[int, list[Stay]] = defaultdict(list)
    for placed in placement.visits:
        if placed.group is not None:
            visit = day.visits[placed.visit].visit
            before = known.places.get(visit.id)
            stay = Stay(
                visit.id,
                placed.start,
                placed.end + placed.turnaround,
                before.chair if before else None,
                visit.id in known.fixed,
            )
            stays[placed.group].append(stay)
    named: dict[str, str] = {}
    for group, found in stays.items():
        named |= colour(found, day.groups[group].chairs)
    return {
        placed.visit: named[day.visits[placed.visit].id]
        for placed in placement.visits
        if placed.group is not None
    }


def _name_basins(day: Day, placement: DayPlacement, known: Known) -> dict[str, str]:
    """A basin for each wash, by `visit/phase`."""
    washes = []
    for placed in placement.visits:
        visit = day.visits[placed.visit].visit
        before = known.places.get(visit.id)
        for number, (work, phase) in enumerate(zip(visit.phases, placed.phases, strict=True)):
            if work.place is Place.BASIN:
                old = before.phases[number].basin if before and _same(before, visit) else None
                name = f"{visit.id}/{number}"
                washes.append(Stay(name, phase.start, phase.end, old, name in known.fixed))
    return colour(washes, day.basins)


def _same(before: PlannedVisit, visit: Booking | Request) -> bool:
    """Whether the phases are still those that were placed."""
    return [phase.kind for phase in before.phases] == [phase.kind for phase in visit.phases]


def _visit(
    day: Day, placed: VisitPlacement, chair: str | None, basins: dict[str, str]
) -> PlannedVisit:
    visit = day.visits[placed.visit].visit
    return PlannedVisit(
        visit=visit.id,
        chair=chair,
        lead=placed.lead,
        window=day.window(placed.start, placed.end),
        phases=tuple(
            _phase(day, work.kind, phase, basins.get(f"{visit.id}/{number}"))
            for number, (work, phase) in enumerate(zip(visit.phases, placed.phases, strict=True))
        ),
    )


def _phase(day: Day, kind: str, phase: PhasePlacement, basin: str | None) -> PlannedPhase:
    return PlannedPhase(
        kind=kind,
        window=day.window(phase.start, phase.end),
        performer=day.shifts[phase.shift].person.id,
        basin=basin,
        help=tuple(
            Help(
                staff=day.shifts[help_.shift].person.id,
                window=day.window(help_.start, help_.end),
            )
            for help_ in sorted(phase.help, key=lambda help_: (help_.start, help_.shift))
        ),
    )
