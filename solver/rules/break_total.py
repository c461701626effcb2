"""Every long shift has breaks of enough minutes in all, in parts that are long enough.

A shift longer than `after` has meal breaks of `minutes` in all; one longer than `beyond`, of
`raised`. A break counts if it is at least `part` long; breaks that touch are one. With the
house figures (German ArbZG, s. 4): 30 minutes above six hours, 45 above nine, in parts of at least
15, so that 3 x 15 are good for a shift of 9 h 30 min and 25 + 2 x 10 are not. Counted is the shift
on the clock, breaks included: never fewer than a law asks that leaves the breaks out. How long one
may work on end is said by `longest-stretch`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.rules import RuleSetting
from schemas.units import MINUTES_PER_DAY, Number
from solver.rules.handwork import hours, joined
from solver.rules.meals import meals_of, shifts_concerned
from solver.rules.reading import Reading, Span
from solver.rules.rule import Breach, Parameters, Rule


class BreakTotal(Parameters):
    """How many minutes of break a shift needs in all."""

    after: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 360
    """Shifts longer than this need breaks, in minutes."""
    minutes: Annotated[int, Field(ge=1, le=240), Number] = 30
    """Minutes of break in all."""
    beyond: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 540
    """Shifts longer than this need more, in minutes."""
    raised: Annotated[int, Field(ge=1, le=240), Number] = 45
    """Minutes of break in all of such a shift."""
    part: Annotated[int, Field(ge=1, le=240), Number] = 15
    """A shorter break does not count."""
    inside: Annotated[int, Field(ge=0, le=1), Number] = 1
    """1: one may lie inside a phase that allows a break; 0: only between duties."""

    @model_validator(mode="after")
    def _raised_is_more(self) -> Self:
        if self.beyond < self.after or self.raised < self.minutes:
            raise ValueError("beyond and raised are not less than after and minutes")
        return self

    def due(self, shift: int) -> int:
        """Minutes of break in a shift of so many minutes.

        >>> [BreakTotal().due(minutes) for minutes in (360, 361, 540, 541)]
        [0, 30, 30, 45]
        """
        if shift > self.beyond:
            return self.raised
        return self.minutes if shift > self.after else 0

    def counted(self, breaks: list[Span]) -> int:
        """Minutes that count of these breaks; those that touch are one break in two lines."""
        lengths = [last - first for first, last in joined(breaks, 1)]
        return sum(length for length in lengths if length >= self.part)


def _check(reading: Reading, parameters: BreakTotal, setting: RuleSetting) -> Iterator[Breach]:
    for shift, (start, end) in shifts_concerned(reading, setting):
        due = parameters.due(end - start)
        meals = meals_of(reading, shift, least=1, inside=parameters.inside)
        spans = [(meal.start, meal.end) for meal in meals]
        counted = parameters.counted(spans)
        if counted >= due:
            continue
        who, lengths = (
            reading.person(shift.staff),
            [last - first for first, last in joined(spans, 1)],
        )
        short = len([length for length in lengths if length < parameters.part])
        too_short = f" ({short} shorter than {parameters.part} min)" if short else ""
        yield Breach(
            detail=f"{who} works {reading.when(start, end)}, {hours(end - start)}, with {counted} "
            f"min of break{too_short}; {due} are due, in parts of at least {parameters.part}.",
            remedy=f"Give {who} {due - counted} min more, no part shorter than {parameters.part}.",
            staff=(shift.staff,),
            window=reading.window(start, end),
        )


RULE = Rule(
    code="break-total",
    sentence="Every long shift has enough minutes of break in all.",
    parameters=BreakTotal,
    check=_check,
    scopes=("staff_tags",),
    source="Arbeitszeitgesetz s. 4; check your local code",
    house_on=False,
)
