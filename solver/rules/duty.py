"""How long people are really on duty: the shift on the rota, and the overtime worked after it.

The first `overtime` setting of a day book that looks at a person is hers, and says how many minutes
past a shift's end she may work; her next shift ends that time too. Work beyond it is none of the
shift's.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.resources import Shift, StaffMember
from schemas.rules import RuleSetting
from solver.rules.minutes import Span, minute, span

CODE = "overtime"


def setting_of(day_book: DayBook, person: StaffMember | None) -> RuleSetting | None:
    """The setting of `overtime` that is this person's."""
    if person is None or person.retired:
        return None
    for setting in day_book.rules or ():
        tags = setting.scope.staff_tags
        if setting.code == CODE and setting.on and (not tags or set(tags) & set(person.tags)):
            return setting
    return None


def latest_ends(day_book: DayBook) -> Iterator[tuple[Shift, int]]:
    """Every shift after which overtime is allowed, with the minute by which it must have ended."""
    if not any(setting.code == CODE and setting.on for setting in day_book.rules or ()):
        return
    people = {person.id: person for person in day_book.staff}
    allowed: dict[str, int] = {}
    for staff in {shift.staff for shift in day_book.shifts}:
        setting = setting_of(day_book, people.get(staff))
        value = setting.parameters.get("minutes", 0) if setting is not None else 0
        allowed[staff] = value if isinstance(value, int) else 0
    begins: dict[str, list[int]] = defaultdict(list)
    for shift in day_book.shifts:
        if allowed[shift.staff]:
            begins[shift.staff].append(minute(shift.window.start))
    for shift in day_book.shifts:
        if allowed[shift.staff]:
            end = minute(shift.window.end)
            later = [start for start in begins[shift.staff] if start >= end]
            yield shift, min([end + allowed[shift.staff], *later])


def time_on_duty(day_book: DayBook, plan: Plan) -> dict[tuple[str, int, int], Span]:
    """By person, start and end of a shift in which overtime is worked, the time on duty."""
    longer: dict[str, list[tuple[int, int, int]]] = defaultdict(list)
    for shift, latest in latest_ends(day_book):
        longer[shift.staff].append((*span(shift.window), latest))
    found: dict[tuple[str, int, int], Span] = {}
    for staff, (first, last) in _work(plan) if longer else ():
        for start, end, latest in longer.get(staff, ()):
            if start <= first and end < last <= latest:
                _, reached = found.get((staff, start, end), (start, end))
                found[staff, start, end] = start, max(reached, last)
    return found


def _work(plan: Plan) -> Iterator[tuple[str, Span]]:
    for planned in plan.visits:
        for phase in planned.phases:
            yield phase.performer, span(phase.window)
            for help_ in phase.help:
                yield help_.staff, span(help_.window)
