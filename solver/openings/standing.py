"""What the book as it stands takes of chairs, basins and hands, as bit sets."""

from __future__ import annotations

from collections import defaultdict
from itertools import chain

from schemas.booking import BookingStatus
from schemas.daybook import DayBook
from schemas.plan import PlannedBreak, PlannedVisit
from schemas.resources import Chair, Shift
from solver.bits import span
from solver.openings.blocks import Block
from solver.openings.hands import Hands
from solver.openings.house import House
from solver.openings.meals import shift_meals, work_of
from solver.openings.raster import Raster


def placed_visits(day_book: DayBook) -> tuple[PlannedVisit, ...]:
    return tuple(
        booking.placed
        for booking in day_book.bookings
        if booking.placed is not None and booking.status is not BookingStatus.CANCELLED
    )


def chair_free(
    day_book: DayBook,
    chair: Chair,
    visits: tuple[PlannedVisit, ...],
    raster: Raster,
    turnaround: int,
) -> int:
    """Slots of opening hours in which a new client may sit on `chair`, cleaning regarded."""
    taken = raster.taken(c.window for c in day_book.closures if c.chair == chair.id)
    for visit in visits:
        if visit.chair == chair.id:
            start, end = raster.frame.span(visit.window)
            first, last = (start - turnaround) // raster.unit, -(-(end + turnaround) // raster.unit)
            taken |= span(first, min(last, raster.slots))
    return span(0, raster.slots) & ~taken


def basins_free(
    day_book: DayBook, visits: tuple[PlannedVisit, ...], raster: Raster
) -> dict[str, int]:
    washes = defaultdict(list)
    for phase in chain.from_iterable(visit.phases for visit in visits):
        if phase.basin is not None:
            washes[phase.basin].append(phase.window)
    everything = span(0, raster.slots)
    return {basin.id: everything & ~raster.taken(washes[basin.id]) for basin in day_book.basins}


def hands_of(
    day_book: DayBook,
    visits: tuple[PlannedVisit, ...],
    blocks: tuple[Block, ...],
    raster: Raster,
    house: House,
) -> dict[str, tuple[Hands, ...]]:
    shifts: dict[str, list[list[Shift]]] = defaultdict(list)
    for block in blocks:
        here: dict[str, int] = defaultdict(int)
        for shift in block.shifts:
            ordinal = here[shift.staff]
            here[shift.staff] += 1
            while len(shifts[shift.staff]) <= ordinal:
                shifts[shift.staff].append([])
            shifts[shift.staff][ordinal].append(shift)
    visits_of: dict[str, list[PlannedVisit]] = defaultdict(list)
    for visit in visits:
        for person_id in (visit.lead, *visit.assistants):
            visits_of[person_id].append(visit)
    breaks: dict[str, list[PlannedBreak]] = defaultdict(list)
    for each in sorted(day_book.breaks, key=lambda each: each.window.start):
        breaks[each.staff].append(each)
    found: dict[str, tuple[Hands, ...]] = {}
    for person in day_book.staff:
        if person.retired or not shifts[person.id]:
            continue
        rule = house.meal(person)
        work = work_of(person.id, visits_of[person.id], raster)
        own = breaks[person.id]
        meals = [
            [
                shift_meals(
                    shift,
                    rule,
                    work,
                    [each for each in own if each.window.overlaps(shift.window)],
                    raster,
                )
                for shift in ordinal
            ]
            for ordinal in shifts[person.id]
        ]
        moving = [m.movable for each in meals for m in each if m.movable is not None]
        kept = tuple(each for each in own if each not in moving)
        busy = work | raster.taken(each.window for each in kept)
        found[person.id] = tuple(Hands.of(person, each, busy, kept) for each in meals)
    return found
