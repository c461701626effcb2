"""Every very long shift has a second meal break, in time.

A shift longer than `after` has a meal break of at least `minutes` that starts when another meal
break has ended. Counted is the shift on the clock: never later than a law asks that counts hours
worked. Its latest start is counted in hours worked, as in Brinker v. Superior Court (2012): the
minutes from the start of the shift, less the meal breaks before it, are at most `latest`. With the
house figures (California Labor Code 512: a second meal of 30 minutes by the end of the tenth hour
of work), a shift from 9:00 with a first meal of half an hour has its second by 19:30.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import MINUTES_PER_DAY, Number
from solver.rules.handwork import hours
from solver.rules.meals import meals_of, shifts_concerned
from solver.rules.reading import Reading, Span, covered
from solver.rules.rule import Breach, Parameters, Rule


class SecondMeal(Parameters):
    """When a shift needs a second meal break, and how."""

    after: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 600
    """Shifts longer than this need one, in minutes."""
    minutes: Annotated[int, Field(ge=1, le=240), Number] = 30
    """The least length of the second break."""
    latest: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 600
    """Minutes worked, meal breaks left out, after which it does not start."""
    inside: Annotated[int, Field(ge=0, le=1), Number] = 1
    """1: it may lie inside a phase that allows one; 0: only between duties."""

    def is_second(self, meal: Span, shift_start: int, every: list[Span]) -> bool:
        """Whether `meal` follows another of `every` and starts in time."""
        before = [each for each in every if each[1] <= meal[0]]
        return bool(before) and meal[0] - shift_start - covered(before) <= self.latest


def _check(reading: Reading, parameters: SecondMeal, setting: RuleSetting) -> Iterator[Breach]:
    for shift, (start, end) in shifts_concerned(reading, setting):
        if end - start <= parameters.after:
            continue
        every = meals_of(reading, shift, least=1, inside=1)
        spans = [(meal.start, meal.end) for meal in every]
        good = meals_of(reading, shift, least=parameters.minutes, inside=parameters.inside)
        if any(parameters.is_second((meal.start, meal.end), start, spans) for meal in good):
            continue
        who, length = reading.person(shift.staff), hours(parameters.latest)
        has = {0: "no meal break", 1: "one meal break"}.get(len(every), "no second one in time")
        yield Breach(
            detail=f"{who} works {reading.when(start, end)}, more than {hours(parameters.after)}, "
            f"and has {has}; a second of {parameters.minutes} min is due within {length} of work.",
            remedy=f"Give {who} a second meal break of {parameters.minutes} min that starts within "
            f"{length} of work.",
            staff=(shift.staff,),
            window=reading.window(start, end),
        )


RULE = Rule(
    code="second-meal",
    sentence="Every very long shift has a second meal break in time.",
    parameters=SecondMeal,
    check=_check,
    scopes=("staff_tags",),
    source="California Labor Code 512(a); check your local code",
    house_on=False,
)
