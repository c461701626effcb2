"""Nobody works more than `minutes` on one day.

Counted is the work: handwork and rest breaks, on the local date on which each stretch of it begins.
Meals and time without a client are not counted, so this limits what a plan asks of a person; how
long she may be in the salon is for the rota to keep.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import MINUTES_PER_DAY, Number
from solver.rules.handwork import hours, is_concerned, paid_work
from solver.rules.reading import Reading, Span
from solver.rules.rule import Breach, Parameters, Rule


class DailyHours(Parameters):
    """How much work a day may hold."""

    minutes: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 600
    """The most minutes of work on a day."""


def _check(reading: Reading, parameters: DailyHours, setting: RuleSetting) -> Iterator[Breach]:
    for staff, spans in paid_work(reading).items():
        if not is_concerned(reading, staff, setting):
            continue
        days: dict[date, list[Span]] = defaultdict(list)
        for start, end in spans:
            days[reading.local(start).date()].append((start, end))
        for own in days.values():
            worked = sum(end - start for start, end in own)
            if worked <= parameters.minutes:
                continue
            who, first, last = reading.person(staff), own[0][0], own[-1][1]
            yield Breach(
                detail=f"{who} works {hours(worked)} on {reading.day(first)}; "
                f"{hours(parameters.minutes)} are the most.",
                remedy=f"Give {hours(worked - parameters.minutes)} of it to somebody else.",
                staff=(staff,),
                window=reading.window(first, last),
            )


RULE = Rule(
    code="daily-hours",
    sentence="Nobody works more hours a day than allowed.",
    parameters=DailyHours,
    check=_check,
    scopes=("staff_tags",),
    source="Common practice, no source; check your local code",
    house_on=False,
)
