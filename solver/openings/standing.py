"""What the book as it stands takes of chairs, basins and hands, as bit sets."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from schemas.booking import BookingStatus
from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedBreak, PlannedVisit
from schemas.resources import Chair, Shift, StaffMember
from solver.bits import span
from solver.openings.blocks import Block, day_of
from solver.openings.breaks import with_owed
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


def basin_free(visits: tuple[PlannedVisit, ...], basin: str, raster: Raster) -> int:
    """Slots in which nobody is washed at `basin`."""
    washes = (p.window for visit in visits for p in visit.phases if p.basin == basin)
    return span(0, raster.slots) & ~raster.taken(washes)


def day_standing(
    day_book: DayBook, block: Block, raster: Raster, house: House
) -> tuple[DayBook, Plan]:
    """A block's part of the book and its plan as they stand, breaks owed completed."""
    given = tuple(each for each in day_book.breaks if block.touches(each.window))
    book, plan = day_of(day_book, block, given)
    breaks = with_owed(day_book, block.shifts, plan, house, raster)
    return book, plan.model_copy(update={"breaks": breaks})


def hands_of(
    day_book: DayBook,
    people: Iterable[StaffMember],
    blocks: tuple[Block, ...],
    raster: Raster,
    house: House,
) -> dict[str, tuple[Hands, ...]]:
    """The hands of those of `people` who have a shift."""
    people = tuple(people)
    names = {person.id for person in people}
    shifts: dict[str, list[list[Shift]]] = defaultdict(list)
    for block in blocks:
        here: dict[str, int] = defaultdict(int)
        for shift in block.shifts:
            if shift.staff not in names:
                continue
            ordinal = here[shift.staff]
            here[shift.staff] += 1
            while len(shifts[shift.staff]) <= ordinal:
                shifts[shift.staff].append([])
            shifts[shift.staff][ordinal].append(shift)
    visits_of: dict[str, list[PlannedVisit]] = defaultdict(list)
    for visit in placed_visits(day_book):
        for person_id in names.intersection((visit.lead, *visit.assistants)):
            visits_of[person_id].append(visit)
    breaks: dict[str, list[PlannedBreak]] = defaultdict(list)
    for each in sorted(day_book.breaks, key=lambda each: each.window.start):
        breaks[each.staff].append(each)
    found: dict[str, tuple[Hands, ...]] = {}
    for person in people:
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
        # By identity: they are her own breaks, and comparing documents takes long.
        moving = {id(m.movable) for each in meals for m in each if m.movable is not None}
        kept = tuple(each for each in own if id(each) not in moving)
        busy = work | raster.taken(each.window for each in kept)
        found[person.id] = tuple(Hands.of(person, each, busy, kept) for each in meals)
    return found
