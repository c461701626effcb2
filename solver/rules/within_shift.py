"""Everybody's work and breaks lie inside one of her shifts.

Two shifts that only touch stay two shifts: work across their seam is a breach.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator
from itertools import accumulate

from schemas.rules import RuleSetting
from solver.rules.reading import Reading, Span
from solver.rules.rule import Breach, NoParameters, Rule
from solver.rules.stretches import Stretch, duties, rest_stretches


def _check(reading: Reading, _: NoParameters, __: RuleSetting) -> Iterator[Breach]:
    tasks = defaultdict(list, duties(reading))
    for staff, rests in reading.rests.items():
        tasks[staff].extend(rest_stretches(rests))
    for staff, stretches in tasks.items():
        shifts = reading.shifts.get(staff, [])
        # Shifts of one person do not overlap in a sound day book; hold out if they do all the same.
        longest = list(accumulate((end for _, end in shifts), max))
        for stretch in stretches:
            begun = bisect_right(shifts, stretch.start, key=lambda shift: shift[0])
            if begun == 0 or longest[begun - 1] < stretch.end:
                yield _breach(reading, staff, stretch, shifts)


def _breach(reading: Reading, staff: str, stretch: Stretch, shifts: list[Span]) -> Breach:
    who, when = reading.person(staff), reading.when(stretch.start, stretch.end)
    doing = stretch.label
    if stretch.visit is not None:
        doing = f"{reading.client(stretch.visit)}'s {stretch.label}"
    near = [(s, e) for s, e in shifts if reading.day(s) == reading.day(stretch.start)]
    if near:
        hours = " and ".join(
            f"{reading.clock(start)} to {reading.clock(end)}" for start, end in near
        )
        known = f"in from {hours} that day"
    else:
        known = "not in that day"
    return Breach(
        detail=f"{who} is {known}, but is down for {doing}, {when}.",
        remedy="Move it inside one shift, change the shift, or give it to somebody who is in.",
        visits=() if stretch.visit is None else (stretch.visit,),
        staff=(staff,),
        window=reading.window(stretch.start, stretch.end),
    )


RULE = Rule(
    code="within-shift",
    sentence="Everybody works and rests within one of her own shifts.",
    parameters=NoParameters,
    check=_check,
    always_hard=True,
)
