"""Gives every shift the meal break the rule in force asks for, keeping the breaks given."""

from __future__ import annotations

from collections import defaultdict

from schemas.daybook import DayBook
from schemas.plan import BreakKind, Plan, PlannedBreak, PlannedVisit
from solver.openings.house import House
from solver.openings.meals import middle_place, shift_meals, work_of
from solver.openings.raster import Raster


def complete_breaks(day_book: DayBook, plan: Plan) -> tuple[PlannedBreak, ...]:
    """The plan's breaks and, for each shift that owes one, a meal break between its duties.

    A break is added at the start nearest the middle of what the rule allows. A shift without room
    for one gets none: the checker names it. The answer is ordered by start and person. Raises
    RuleError where the day book's rules make no sense.
    """
    house, raster = House.of(day_book), Raster.of(day_book)
    given: dict[str, list[PlannedBreak]] = defaultdict(list)
    for each in sorted(plan.breaks, key=lambda each: each.window.start):
        given[each.staff].append(each)
    visits: dict[str, list[PlannedVisit]] = defaultdict(list)
    for visit in plan.visits:
        for person_id in (visit.lead, *visit.assistants):
            visits[person_id].append(visit)
    staff = {person.id: person for person in day_book.staff}
    works = {person: work_of(person, own, raster) for person, own in visits.items()}
    added: list[PlannedBreak] = []
    for shift in sorted(day_book.shifts, key=lambda shift: shift.window.start):
        person = staff.get(shift.staff)
        if person is None:
            continue
        breaks, work = given[person.id], works.get(person.id, 0)
        near = [each for each in breaks if each.window.overlaps(shift.window)]
        meals = shift_meals(shift, house.meal(person), work, near, raster)
        place = middle_place(meals, meals.places)
        if meals.needed and meals.movable is None and place is not None:
            window = raster.window(place, place + meals.length)
            own = PlannedBreak(staff=person.id, kind=BreakKind.MEAL, window=window)
            breaks.append(own)
            added.append(own)
    return tuple(sorted((*plan.breaks, *added), key=lambda e: (e.window.start, e.staff)))
