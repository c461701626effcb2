"""`rest-breaks`: one rest for each `every` minutes of the shift or major fraction of them.

Each has a part of the shift to start in, so that no two are the same break; where they may lie
anywhere, each follows the one before.
"""

from __future__ import annotations

from collections.abc import Iterator

from schemas.plan import BreakKind
from schemas.rules import RuleSetting
from solver.model.dues import Due, Key, concerns_shift
from solver.model.facts import Day, DayShift, number

CODE = "rest-breaks"
MOST = 100
"""Rest breaks of one shift at most."""


def dues(day: Day) -> Iterator[Due]:
    """The rest breaks of each shift, in order."""
    setting = day.setting(CODE)
    if setting is None:
        return
    size = day.up(number(setting, "minutes", 10))
    spread = number(setting, "spread", 1) == 1
    for shift in day.shifts:
        count = _count(setting, shift) if concerns_shift(setting, shift) else 0
        before: Key | None = None
        for part in range(count):
            begin = shift.start_minute + (shift.minutes * part // count if spread else 0)
            end = shift.start_minute + (
                shift.minutes * (part + 1) // count if spread else shift.minutes
            )
            key = (CODE, shift.index, part)
            yield Due(
                key=key,
                kind=BreakKind.REST,
                size=size,
                first=max(shift.start, day.up(begin)),
                last=min(shift.end - size, day.down(end - 1)),
                inside=number(setting, "inside", 1) == 1,
                hard=setting.hard,
                weight=setting.weight,
                after=None if spread else before,
            )
            before = key


def _count(setting: RuleSetting, shift: DayShift) -> int:
    """`ceil((s - every / 2) / every)`, none below `least`."""
    every = number(setting, "every", 240)
    if shift.minutes < number(setting, "least", 210):
        return 0
    return min(MOST, max(0, -(-(2 * shift.minutes - every) // (2 * every))))
