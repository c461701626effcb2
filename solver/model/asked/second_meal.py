"""`second-meal`: a very long shift has a meal break that follows another.

The first is the one that `meal-break` asks for, if it does and is hard; else a first is asked for
here. The latest start is counted in work: the first break, which ends before, is added.
"""

from __future__ import annotations

from collections.abc import Iterator

from schemas.plan import BreakKind
from solver.model.asked import meal_break
from solver.model.dues import Due, concerns_shift
from solver.model.facts import Day, number

CODE = "second-meal"


def dues(day: Day) -> Iterator[Due]:
    """The second meal break of each shift longer than `after`, and a first where there is none."""
    setting = day.setting(CODE)
    if setting is None:
        return
    firsts = {due.shift: due for due in meal_break.dues(day) if due.hard}
    size = day.up(number(setting, "minutes", 30))
    inside = number(setting, "inside", 1) == 1
    for shift in day.shifts:
        if not concerns_shift(setting, shift) or shift.minutes <= number(setting, "after", 600):
            continue
        latest = shift.start_minute + number(setting, "latest", 600)
        first = firsts.get(shift.index)
        if first is None:
            first = Due(
                key=(CODE, shift.index, 0),
                kind=BreakKind.MEAL,
                size=size,
                first=shift.start,
                last=min(shift.end, day.down(latest) + size) - 2 * size,
                inside=inside,
                hard=setting.hard,
                weight=0,
            )
            yield first
        yield Due(
            key=(CODE, shift.index, 1),
            kind=BreakKind.MEAL,
            size=size,
            first=first.first + first.size,
            last=min(shift.end - size, day.down(latest) + first.size),
            inside=inside,
            hard=setting.hard,
            weight=setting.weight,
            after=first.key,
        )
