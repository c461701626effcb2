"""Nobody works more than `minutes` in one week.

A week is an ISO 8601 week, Monday to Sunday, on the salon's clock; a stretch of work counts in the
week in which it begins. Counted is the work in the plan: handwork and rest breaks, not meals or
time without a client. A day book that holds part of a week is judged by that part. Directive
2003/88/EC, article 6, allows 48 hours a week on average; this rule has no average and so is safe.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import MINUTES_PER_DAY, Number
from solver.rules.handwork import hours, is_concerned, paid_work
from solver.rules.reading import Reading, Span
from solver.rules.rule import Breach, Parameters, Rule


class WeeklyHours(Parameters):
    """How much work a week may hold."""

    minutes: Annotated[int, Field(ge=0, le=7 * MINUTES_PER_DAY), Number] = 2880
    """The most minutes of work in a week."""


def _check(reading: Reading, parameters: WeeklyHours, setting: RuleSetting) -> Iterator[Breach]:
    for staff, spans in paid_work(reading).items():
        if not is_concerned(reading, staff, setting):
            continue
        weeks: dict[str, list[Span]] = defaultdict(list)
        for start, end in spans:
            year, week, _ = reading.local(start).isocalendar()
            weeks[f"{year}-W{week:02}"].append((start, end))
        for week_, own in weeks.items():
            worked = sum(end - start for start, end in own)
            if worked <= parameters.minutes:
                continue
            yield Breach(
                detail=f"{reading.person(staff)} works {hours(worked)} in week {week_}; "
                f"{hours(parameters.minutes)} are the most.",
                remedy=f"Give {hours(worked - parameters.minutes)} of it to somebody else or to "
                "another week.",
                staff=(staff,),
                window=reading.window(own[0][0], own[-1][1]),
            )


RULE = Rule(
    code="weekly-hours",
    sentence="Nobody works more hours a week than allowed.",
    parameters=WeeklyHours,
    check=_check,
    scopes=("staff_tags",),
    source="Directive 2003/88/EC, article 6; check your local code",
    house_on=False,
)
