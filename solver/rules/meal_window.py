"""Certain shifts have a meal break at a certain time of day, or midway.

The rule looks at shifts longer than `longer` that start from `since` on and before
`before` on the wall clock (over midnight where the second is the earlier one) and end after
`past`, a time of the day on which the shift starts, or later. Such a shift has a meal break
of at least `minutes` wholly between `opens` and `closes` of that day; or, with `midway`, one that
holds the middle of the shift. It may be set several times.

New York Labor Law 162 is three settings: 30 minutes from 11:00 to 14:00 for shifts of more than six
hours over noon; 20 more from 17:00 to 19:00 for those that start before 11:00 and end after 19:00;
45 midway for shifts of more than six hours that start from 13:00 to 6:00. Counted is the shift on
the clock.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time, timedelta
from typing import Annotated

from pydantic import Field

from schemas.resources import Shift
from schemas.rules import RuleSetting
from schemas.units import MINUTES_PER_DAY, LocalTime, Number
from solver.rules.meals import meals_of, shifts_concerned
from solver.rules.reading import Reading, Rest, Span, minute
from solver.rules.rule import Breach, Parameters, Rule


class MealWindow(Parameters):
    """Which shifts, and when they eat."""

    longer: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 360
    """Shifts of more minutes than this."""
    since: LocalTime = "00:00"
    """They start at this time of day or later."""
    before: LocalTime = "13:00"
    """They start earlier than this time of day."""
    past: LocalTime = "12:00"
    """They end later than this time of the day they start on."""
    minutes: Annotated[int, Field(ge=1, le=240), Number] = 30
    """The least length of the break."""
    opens: LocalTime = "11:00"
    """The break starts at this time or later."""
    closes: LocalTime = "14:00"
    """It has ended by this time."""
    midway: Annotated[int, Field(ge=0, le=1), Number] = 0
    """1: it holds the middle of the shift instead, whatever the time of day."""
    inside: Annotated[int, Field(ge=0, le=1), Number] = 1
    """1: it may lie inside a phase that allows one; 0: only between duties."""


def _check(reading: Reading, parameters: MealWindow, setting: RuleSetting) -> Iterator[Breach]:
    for shift, times in shifts_concerned(reading, setting):
        if not _looks_at(reading, parameters, times):
            continue
        meals = meals_of(reading, shift, least=parameters.minutes, inside=parameters.inside)
        first, last = _span(reading, parameters, times)
        if not any(_good(meal, parameters, first, last) for meal in meals):
            yield _breach(reading, parameters, shift, (first, last))


def _looks_at(reading: Reading, parameters: MealWindow, shift: Span) -> bool:
    start, end = shift
    local = reading.local(start)
    clock = local.hour * 60 + local.minute
    since, before = _minutes(parameters.since), _minutes(parameters.before)
    starts = since <= clock < before if since < before else clock >= since or clock < before
    late = end > _at(reading, start, parameters.past)
    return starts and late and end - start > parameters.longer


def _span(reading: Reading, parameters: MealWindow, shift: Span) -> Span:
    """Where the break lies; with `midway`, twice the middle of the shift."""
    start, end = shift
    if parameters.midway:
        return (start + end) // 2, (start + end) // 2
    return _at(reading, start, parameters.opens), _at(reading, start, parameters.closes)


def _good(meal: Rest, parameters: MealWindow, first: int, last: int) -> bool:
    if parameters.midway:
        return meal.start <= first and last <= meal.end
    return first <= meal.start and meal.end <= last


def _breach(reading: Reading, parameters: MealWindow, shift: Shift, times: Span) -> Breach:
    who, (start, end) = reading.person(shift.staff), reading.duty(shift)
    if parameters.midway:
        where = f"that holds the middle of the shift, {reading.at(times[0])}"
    else:
        where = f"between {parameters.opens} and {parameters.closes}"
    return Breach(
        detail=f"{who} works {reading.when(start, end)} and has no meal break of "
        f"{parameters.minutes} min {where}.",
        remedy=f"Give {who} {parameters.minutes} min {where}.",
        staff=(shift.staff,),
        window=reading.window(start, end),
    )


def _minutes(clock: str) -> int:
    hour, minutes = clock.split(":")
    return int(hour) * 60 + int(minutes)


def _at(reading: Reading, start: int, clock: str) -> int:
    """That time of day on the local date of `start`."""
    days, of_day = divmod(_minutes(clock), MINUTES_PER_DAY)
    date = reading.local(start).date() + timedelta(days=days)
    return minute(datetime.combine(date, time(of_day // 60, of_day % 60), tzinfo=reading.zone))


RULE = Rule(
    code="meal-window",
    sentence="Certain shifts have a meal break at a certain time of day.",
    parameters=MealWindow,
    check=_check,
    scopes=("staff_tags",),
    source="New York Labor Law 162; check your local code",
    house_on=False,
    repeatable=True,
)
