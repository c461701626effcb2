"""Everybody's work and breaks lie inside one of her shifts.

Two shifts that only touch stay two shifts: work across their seam is a breach. Where the salon
allows overtime (see `overtime`), work may go on after a shift for as long; a break may lie there
only while she is still on duty.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator
from itertools import accumulate

from schemas.rules import RuleSetting
from solver.rules.duty import latest_ends
from solver.rules.reading import Reading, Span, span
from solver.rules.rule import Breach, NoParameters, Rule
from solver.rules.stretches import Stretch, duties, rest_stretches


def _check(reading: Reading, _: NoParameters, __: RuleSetting) -> Iterator[Breach]:
    tasks = defaultdict(list, duties(reading))
    until = _latest(reading)
    for staff, rests in reading.rests.items():
        tasks[staff].extend(rest_stretches(rests))
    for staff, stretches in tasks.items():
        shifts = reading.shifts.get(staff, [])
        work = [(start, until.get((staff, start, end), end)) for start, end in shifts]
        duty = [reading.on_duty.get((staff, *shift), shift) for shift in shifts]
        # Shifts of one person do not overlap in a sound day book; hold out if they do all the same.
        longest = list(accumulate((end for _, end in work), max))
        rests_by = list(accumulate((end for _, end in duty), max))
        for stretch in stretches:
            begun = bisect_right(shifts, stretch.start, key=lambda shift: shift[0])
            ends = rests_by if stretch.visit is None else longest
            if begun == 0 or ends[begun - 1] < stretch.end:
                yield _breach(reading, staff, stretch, list(zip(shifts, work, strict=True)))


def _latest(reading: Reading) -> dict[tuple[str, int, int], int]:
    """By person and shift, the minute by which its work has ended, where overtime is allowed."""
    return {
        (shift.staff, *span(shift.window)): latest
        for shift, latest in latest_ends(reading.day_book)
    }


def _breach(
    reading: Reading, staff: str, stretch: Stretch, shifts: list[tuple[Span, Span]]
) -> Breach:
    who, when = reading.person(staff), reading.when(stretch.start, stretch.end)
    doing = stretch.label
    if stretch.visit is not None:
        doing = f"{reading.client(stretch.visit)}'s {stretch.label}"
    near = [each for each in shifts if reading.day(each[0][0]) == reading.day(stretch.start)]
    if near:
        hours = " and ".join(
            f"{reading.clock(start)} to {reading.clock(end)}"
            + (f" (or {reading.clock(latest)} in overtime)" if latest > end else "")
            for (start, end), (_, latest) in near
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
