"""`weekly-rest`: the day leaves its week one long rest.

What earlier days took and later promises take leaves free times in the week. If one of them that
the day's shifts do not touch is long enough, nothing is asked. Else the day's work leaves enough of
the free time it lies in, before it or after it. A week that has no long rest left without this
day's work is no matter of this day's.
"""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

from schemas.rules import RuleSetting
from solver.model.facts import Day, DayShift, Span, number
from solver.model.hands import Handwork, hold_between, people
from solver.model.hands import cost as hours_cost
from solver.model.placement import DayPlacement
from solver.model.variables import DayModel, Obstacle

CODE = "weekly-rest"


def post(model: DayModel) -> None:
    day, setting = model.day, model.day.setting(CODE)
    if setting is None:
        return
    for person, shifts in people(day, setting):
        rest, free = number(setting, "minutes", 2100), _free(day, setting, person)
        if not any(end - start >= rest for start, end in free):
            if setting.hard and any(each.person == person for each in day.elsewhere):
                reason = f"{shifts[0].person.name} has no long rest left in the week"
                model.obstacles.append(Obstacle(CODE, reason, shift=shifts[0]))
            continue
        if not any(_enough(day, rest, span, _reach(shifts)) for span in free):
            hold_between(model, setting, shifts, *_sides(day, rest, free, _reach(shifts)))


def _free(day: Day, setting: RuleSetting, person: str) -> list[Span]:
    """What other days leave free of the week, in minutes from the origin."""
    monday = day.date - timedelta(days=day.date.weekday())
    first, last = (day.frame.midnight(monday + timedelta(days=add)) for add in (0, 7))
    taken = sorted(
        (each.start, each.end)
        for each in day.elsewhere
        if each.person == person and each.handwork and (setting.hard or not each.later)
    )
    marks = [(first, first), *((max(first, s), min(last, e)) for s, e in taken), (last, last)]
    kept = [mark for mark in marks if mark[0] <= mark[1]]
    return [(before[1], after[0]) for before, after in pairwise(kept) if before[1] < after[0]]


def _reach(shifts: list[DayShift]) -> Span:
    return min(shift.start for shift in shifts), max(shift.limit for shift in shifts)


def _enough(day: Day, rest: int, free: Span, work: Span) -> bool:
    """Whether `free` has a long rest outside `work`, in steps."""
    start, end = work[0] * day.grid, work[1] * day.grid
    first, last = free
    if end <= first or last <= start:
        return last - first >= rest
    return start - first >= rest or last - end >= rest


def _sides(day: Day, rest: int, free: list[Span], reach: Span) -> list[Span]:
    """Between which steps the day's work may lie: late in a free time, or early in it."""
    low, high = day.horizon
    sides = []
    for first, last in free:
        if last - first >= rest and first < reach[1] * day.grid and reach[0] * day.grid < last:
            sides += [(day.up(first + rest), high), (low, day.down(last - rest))]
    return sides


def allows(day: Day, setting: RuleSetting, work: Handwork) -> bool:
    """Whether a person's work of the day leaves her a long rest, or there was none to leave."""
    if not work.spans:
        return True
    rest, free = number(setting, "minutes", 2100), _free(day, setting, work.person)
    reach = (work.spans[0][0], work.spans[-1][1])
    return not any(end - start >= rest for start, end in free) or any(
        _enough(day, rest, span, reach) for span in free
    )


def cost(day: Day, placement: DayPlacement) -> int:
    """What a soft setting costs in a placement."""
    return hours_cost(day, placement, CODE, allows)
