"""`meal-window`: shifts that start and end at certain times of day eat at a certain time."""

from __future__ import annotations

from collections.abc import Iterator

from schemas.plan import BreakKind
from schemas.rules import RuleSetting
from solver.model.dues import Due, concerns_shift
from solver.model.facts import Day, DayShift, minute_of_day, number

CODE = "meal-window"


def dues(day: Day) -> Iterator[Due]:
    """The break of each shift under each setting that looks at it."""
    for place, setting in enumerate(day.settings_of(CODE)):
        size = day.up(number(setting, "minutes", 30))
        for shift in day.shifts:
            if not concerns_shift(setting, shift) or not _looks_at(day, setting, shift):
                continue
            first, last = _starts(day, setting, shift, size)
            yield Due(
                key=(CODE, shift.index, place),
                kind=BreakKind.MEAL,
                size=size,
                first=max(shift.start, first),
                last=min(shift.end - size, last),
                inside=number(setting, "inside", 1) == 1,
                hard=setting.hard,
                weight=setting.weight,
            )


def _looks_at(day: Day, setting: RuleSetting, shift: DayShift) -> bool:
    clock = day.frame.clock(shift.start_minute)
    since = minute_of_day(setting, "since", "00:00")
    before = minute_of_day(setting, "before", "13:00")
    starts = since <= clock < before if since < before else clock >= since or clock < before
    ends = shift.start_minute + shift.minutes
    late = ends > _at(day, shift, minute_of_day(setting, "past", "12:00"))
    return starts and late and shift.minutes > number(setting, "longer", 360)


def _starts(day: Day, setting: RuleSetting, shift: DayShift, size: int) -> tuple[int, int]:
    """The first and the last step at which the break may start."""
    if number(setting, "midway", 0):
        middle = (2 * shift.start_minute + shift.minutes) // 2
        return day.up(middle) - size, day.down(middle)
    opens = _at(day, shift, minute_of_day(setting, "opens", "11:00"))
    closes = _at(day, shift, minute_of_day(setting, "closes", "14:00"))
    return day.up(opens), day.down(closes) - size


def _at(day: Day, shift: DayShift, clock: int) -> int:
    """That time of day on the local date of the shift's start, in minutes from the origin."""
    return day.frame.at_clock(shift.start_minute, clock)
