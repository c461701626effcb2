"""`meal-break`: a long shift has one meal break, standing alone or inside a phase."""

from __future__ import annotations

from collections.abc import Iterator

from schemas.plan import BreakKind
from solver.model.dues import Due, concerns_shift
from solver.model.facts import Day, number

CODE = "meal-break"


def dues(day: Day) -> Iterator[Due]:
    """The meal break of each shift longer than `after`."""
    setting = day.setting(CODE)
    if setting is None:
        return
    size = day.up(number(setting, "minutes", 30))
    for shift in day.shifts:
        if concerns_shift(setting, shift) and shift.minutes > number(setting, "after", 360):
            earliest = shift.start_minute + number(setting, "earliest", 120)
            latest = shift.start_minute + number(setting, "latest", 300)
            yield Due(
                key=(CODE, shift.index, 0),
                kind=BreakKind.MEAL,
                size=size,
                first=max(shift.start, day.up(earliest)),
                last=min(shift.end - size, day.down(latest)),
                inside=number(setting, "inside", 1) == 1,
                hard=setting.hard,
                weight=setting.weight,
            )
