"""Everybody's work and breaks lie inside one of her shifts.

Two shifts that only touch stay two shifts: work across their seam is a breach.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator

from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.rules import RuleSetting
from solver.rules.reading import Reading, Span, span
from solver.rules.rule import Breach, NoParameters, Rule
from solver.rules.stretches import Stretch, duties


def _check(day_book: DayBook, plan: Plan, _: NoParameters, __: RuleSetting) -> Iterator[Breach]:
    reading = Reading(day_book, plan)
    tasks = defaultdict(list, duties(reading))
    for staff, breaks in reading.breaks.items():
        for planned_break in breaks:
            label = f"{planned_break.kind.value} break"
            tasks[staff].append(Stretch(*span(planned_break.window), None, label))
    for staff, stretches in tasks.items():
        shifts = reading.shifts.get(staff, [])
        for stretch in stretches:
            if not _inside_one(stretch, shifts):
                yield _breach(reading, staff, stretch, shifts)


def _inside_one(stretch: Stretch, shifts: list[Span]) -> bool:
    begun = bisect_right(shifts, (stretch.start, float("inf")))
    # Shifts of one person do not overlap in a sound day book; look at all begun ones all the same.
    return any(stretch.end <= end for _, end in shifts[:begun])


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
