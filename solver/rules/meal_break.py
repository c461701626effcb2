"""Every shift longer than `after` has a meal break in time.

The break is one stretch of at least `minutes`, wholly inside the shift, and starts between
`earliest` and `latest` minutes after the shift began, both included. With `inside` it may lie
inside a phase that allows one, which it stretches. With the house figures a shift `[9:00, 18:00)`
needs half an hour that starts from 11:00 to 14:00; a shift of exactly six hours needs none.

The figures can state a law: an EU working day has a break when it is longer than six hours
(2003/88/EC, article 4); California's first meal starts by the end of the fifth hour when the day is
longer than five (Labor Code 512). They are general information: check your local code.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.plan import BreakKind
from schemas.rules import RuleSetting
from schemas.units import MINUTES_PER_DAY, Number
from solver.rules.reading import Reading, Rest
from solver.rules.rule import Breach, Parameters, Rule, concerns


class MealBreak(Parameters):
    """When a shift needs a meal break, and how."""

    after: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 360
    """Shifts longer than this need one, in minutes."""
    minutes: Annotated[int, Field(ge=1, le=240), Number] = 30
    """The least length of the break."""
    earliest: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 120
    """Minutes after the shift began before which it does not start."""
    latest: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 300
    """Minutes after the shift began after which it does not start."""
    inside: Annotated[int, Field(ge=0, le=1), Number] = 1
    """1: it may lie inside a phase that allows one; 0: only between duties."""

    @model_validator(mode="after")
    def _earliest_before_latest(self) -> Self:
        if self.earliest > self.latest:
            raise ValueError("earliest is later than latest")
        return self


def _check(reading: Reading, parameters: MealBreak, setting: RuleSetting) -> Iterator[Breach]:
    for shift in reading.day_book.shifts:
        person = reading.staff.get(shift.staff)
        start, end = reading.duty(shift)
        if person is None or person.retired or end - start <= parameters.after:
            continue
        if not concerns(person.tags, setting.scope.staff_tags):
            continue
        meals = [
            rest
            for rest in reading.rests_within(person.id, start, end)
            if rest.planned.kind is BreakKind.MEAL
        ]
        if not any(_good(meal, start, parameters) for meal in meals):
            yield _breach(reading, person.id, (start, end), meals, parameters)


def _good(meal: Rest, shift_start: int, parameters: MealBreak) -> bool:
    in_time = parameters.earliest <= meal.start - shift_start <= parameters.latest
    allowed = meal.planned.inside is None or parameters.inside == 1
    return in_time and allowed and meal.end - meal.start >= parameters.minutes


def _breach(
    reading: Reading,
    staff: str,
    shift: tuple[int, int],
    meals: list[Rest],
    parameters: MealBreak,
) -> Breach:
    who = reading.person(staff)
    first, last = shift[0] + parameters.earliest, shift[0] + parameters.latest
    if not meals:
        has = "has no meal break"
    else:
        meal = meals[0]
        has = f"has a meal break of {meal.end - meal.start} min at {reading.clock(meal.start)}"
        if meal.planned.inside is not None:
            has += f" inside {reading.client(meal.planned.inside)}'s visit"
    inside = [meal.planned.inside for meal in meals if meal.planned.inside is not None]
    where = "" if parameters.inside else ", between duties"
    return Breach(
        detail=f"{who} works {reading.when(*shift)} and {has}; due are {parameters.minutes} min "
        f"starting {reading.from_to(first, last)}{where}.",
        remedy=f"Give {who} {parameters.minutes} min that start "
        f"{reading.from_to(first, last)}{where}.",
        visits=tuple(dict.fromkeys(inside)),
        staff=(staff,),
        window=reading.window(*shift),
    )


RULE = Rule(
    code="meal-break",
    sentence="Every long shift has a meal break in time.",
    parameters=MealBreak,
    check=_check,
    scopes=("staff_tags",),
    source="Common practice, no source; check your local code",
)
