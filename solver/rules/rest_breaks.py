"""Every shift has short rest breaks: one for each `every` minutes or major fraction of them.

A shift of `s` minutes has none if `s < least`, else `n = ceil((s - every / 2) / every)`. With the
house figures (California Wage Order 2: ten minutes for each four hours or major fraction) that is
one from 3 h 30 min, two above six hours, three above ten. Counted is the shift on the clock, meal
included: never fewer than a law asks that leaves the meal out. A rest break counts as time worked
(29 CFR 785.18) and is no meal.

With `spread` the shift is cut into `n` equal parts and a break starts in each; without it they may
lie anywhere, none overlapping another. With `inside` one may lie inside a phase that allows a
break, which it stretches.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Annotated

from pydantic import Field

from schemas.plan import BreakKind
from schemas.resources import Shift
from schemas.rules import RuleSetting
from schemas.units import MINUTES_PER_DAY, Number
from solver.rules.handwork import hours, is_concerned
from solver.rules.reading import Reading, Rest, Span
from solver.rules.rule import Breach, Parameters, Rule

MOST = 100
"""Rest breaks of one shift that are asked for at most, however long the shift is said to be."""


class RestBreaks(Parameters):
    """How many rest breaks a shift has, and how long they are."""

    minutes: Annotated[int, Field(ge=1, le=60), Number] = 10
    """The least length of each."""
    every: Annotated[int, Field(ge=30, le=MINUTES_PER_DAY), Number] = 240
    """One for each so many minutes of the shift, or more than half of them."""
    least: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 210
    """A shorter shift has none."""
    spread: Annotated[int, Field(ge=0, le=1), Number] = 1
    """1: one starts in each equal part of the shift; 0: anywhere in it."""
    inside: Annotated[int, Field(ge=0, le=1), Number] = 1
    """1: one may lie inside a phase that allows a break; 0: only between duties."""

    def due(self, shift: int) -> int:
        """Rest breaks of a shift of so many minutes.

        >>> [RestBreaks().due(minutes) for minutes in (209, 210, 360, 361, 600, 601)]
        [0, 1, 1, 2, 2, 3]
        """
        if shift < self.least:
            return 0
        return min(MOST, max(0, -(-(2 * shift - self.every) // (2 * self.every))))


def _check(reading: Reading, parameters: RestBreaks, setting: RuleSetting) -> Iterator[Breach]:
    for shift in reading.day_book.shifts:
        start, end = reading.duty(shift)
        due = parameters.due(end - start)
        if not due or not is_concerned(reading, shift.staff, setting):
            continue
        good = [
            rest
            for rest in reading.rests_within(shift.staff, start, end)
            if rest.planned.kind is BreakKind.REST
            and rest.end - rest.start >= parameters.minutes
            and (rest.planned.inside is None or parameters.inside == 1)
        ]
        if parameters.spread:
            marks = [start + (end - start) * part // due for part in range(due + 1)]
            for part in pairwise(marks):
                if not any(part[0] <= rest.start < part[1] for rest in good):
                    yield _breach(reading, parameters, shift, part, 1)
        elif _apart(good) < due:
            missing = due - _apart(good)
            yield _breach(reading, parameters, shift, (start, end), missing)


def _apart(rests: list[Rest]) -> int:
    """The most of these breaks of which no two overlap."""
    count, free = 0, None
    for rest in sorted(rests, key=lambda rest: rest.end):
        if free is None or rest.start >= free:
            count, free = count + 1, rest.end
    return count


def _breach(
    reading: Reading, parameters: RestBreaks, shift: Shift, part: Span, missing: int
) -> Breach:
    start, end = reading.duty(shift)
    who, length = reading.person(shift.staff), end - start
    what = "a rest break" if missing == 1 else f"{missing} rest breaks"
    return Breach(
        detail=f"{who} works {reading.when(start, end)}, {hours(length)}; "
        f"{parameters.due(length)} rest breaks are due. Missing is {what} of "
        f"{parameters.minutes} min that starts between {reading.clock(part[0])} and "
        f"{reading.clock(part[1])}.",
        remedy=f"Give {who} {what} of {parameters.minutes} min, {reading.when(*part)}.",
        staff=(shift.staff,),
        window=reading.window(*part),
        size=missing,
    )


RULE = Rule(
    code="rest-breaks",
    sentence="Every shift has its short rest breaks.",
    parameters=RestBreaks,
    check=_check,
    scopes=("staff_tags",),
    source="California Wage Order 2, section 12; check your local code",
    house_on=False,
)
