"""Gives every shift the breaks that the rules in force ask for, keeping the breaks given."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from schemas.daybook import DayBook
from schemas.plan import BreakKind, Plan, PlannedBreak, PlannedVisit
from schemas.resources import Shift
from solver.openings.house import House
from solver.openings.meals import middle_of, middle_place, shift_meals, work_of
from solver.openings.owed import CODES, Owing
from solver.openings.raster import Raster

MOST_BREAKS = 24
"""Breaks of one shift that are looked for at most."""


def complete_breaks(day_book: DayBook, plan: Plan) -> tuple[PlannedBreak, ...]:
    """The plan's breaks and, for each shift that owes some, those it owes between its duties.

    The meal break comes first, then what other rules ask for. A break is added at the start nearest
    the middle of what its rule allows. A shift without room for one goes without: the checker names
    it. The answer is ordered by start and person. Raises RuleError where the day book's rules make
    no sense.
    """
    return with_owed(day_book, day_book.shifts, plan, House.of(day_book), Raster.of(day_book))


def with_owed(
    day_book: DayBook, shifts: Iterable[Shift], plan: Plan, house: House, raster: Raster
) -> tuple[PlannedBreak, ...]:
    """As `complete_breaks`, for some shifts of a book whose rules and slots are known."""
    part = day_book.model_copy(update={"shifts": tuple(shifts)})
    return completed(house, raster, part, plan.visits, plan.breaks)


def completed(
    house: House,
    raster: Raster,
    day_book: DayBook,
    visits: Iterable[PlannedVisit],
    breaks: Iterable[PlannedBreak],
) -> tuple[PlannedBreak, ...]:
    """The breaks, and those that the shifts of the day book owe beside the visits."""
    staff = {person.id: person for person in day_book.staff}
    given: dict[str, list[PlannedBreak]] = defaultdict(list)
    for each in sorted(breaks, key=lambda each: each.window.start):
        given[each.staff].append(each)
    visits_of: dict[str, list[PlannedVisit]] = defaultdict(list)
    for visit in visits:
        for person_id in (visit.lead, *visit.assistants):
            visits_of[person_id].append(visit)
    works = {person: work_of(person, own, raster) for person, own in visits_of.items()}
    more = any(house.listed(code) for code in CODES)
    for shift in sorted(day_book.shifts, key=lambda shift: shift.window.start):
        person = staff.get(shift.staff)
        if person is not None:
            own, work = given[person.id], works.get(person.id, 0)
            owing = Owing(house, raster, shift, person)
            _add_meal(owing, work, own)
            if more:
                _add_others(owing, work, own)
    every = (each for own in given.values() for each in own)
    return tuple(sorted(every, key=lambda e: (e.window.start, e.staff)))


def _add_meal(owing: Owing, work: int, breaks: list[PlannedBreak]) -> None:
    shift, person, raster = owing.shift, owing.person, owing.raster
    near = [each for each in breaks if each.window.overlaps(shift.window)]
    meals = shift_meals(shift, owing.house.meal(person), work, near, raster)
    place = middle_place(meals, meals.places)
    if meals.needed and meals.movable is None and place is not None:
        window = raster.window(place, place + meals.length)
        breaks.append(PlannedBreak(staff=person.id, kind=BreakKind.MEAL, window=window))


def _add_others(owing: Owing, work: int, breaks: list[PlannedBreak]) -> None:
    given_up, raster = 0, owing.raster
    for _ in range(MOST_BREAKS):
        owed = owing.next(breaks, given_up)
        if owed is None:
            return
        busy = work | raster.taken(each.window for each in breaks)
        allowed = places = owed.starts(raster)
        for ahead in range(owed.length):
            places &= ~(busy >> ahead)
        place = middle_of(allowed, places)
        if place is None:
            given_up += 1
            continue
        window = raster.window(place, place + owed.length)
        breaks.append(PlannedBreak(staff=owing.person.id, kind=owed.kind, window=window))
