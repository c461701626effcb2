"""`break-total`: as many parts as make up the minutes due, beside the meals that are due anyway.

Parts may touch, so that two of them are one longer break. A meal break that another rule asks for
counts towards the minutes where it is hard, no shorter than a part, and for certain not the same as
another that is counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from schemas.plan import BreakKind
from schemas.rules import RuleSetting
from solver.model.dues import Due, Key, concerns_shift
from solver.model.facts import Day, DayShift, number

CODE = "break-total"


def dues(day: Day, others: Iterable[Due]) -> Iterator[Due]:
    """The parts of each shift, in order; `others` are breaks apart that are taken anyway."""
    setting = day.setting(CODE)
    if setting is None:
        return
    part = day.up(number(setting, "part", 15))
    inside = number(setting, "inside", 1) == 1
    counted = [
        due
        for due in others
        if due.kind is BreakKind.MEAL
        and due.hard
        and due.fits
        and due.size >= part
        and (inside or not due.inside)
    ]
    for shift in day.shifts:
        if not concerns_shift(setting, shift):
            continue
        there = sum(due.size for due in counted if due.shift == shift.index)
        left = day.up(_minutes(setting, shift)) - there
        before: Key | None = None
        count = max(0, -(-left // part))
        for place in range(count):
            key = (CODE, shift.index, place)
            yield Due(
                key=key,
                kind=BreakKind.MEAL,
                size=part,
                first=shift.start,
                last=shift.end - part,
                inside=inside,
                hard=setting.hard,
                weight=setting.weight if place == count - 1 else 0,
                after=before,
            )
            before = key


def _minutes(setting: RuleSetting, shift: DayShift) -> int:
    if shift.minutes > number(setting, "beyond", 540):
        return number(setting, "raised", 45)
    return number(setting, "minutes", 30) if shift.minutes > number(setting, "after", 360) else 0
