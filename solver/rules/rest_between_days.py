"""Between two days of work lie at least `minutes` without any.

From the end of the last handwork of one local date to the start of the first of the next date she
works on. Eleven hours are the daily rest of the EU (2003/88/EC, article 3) and the UK (Working Time
Regulations 1998, reg. 10): an end at 22:00 and a start at 9:00 are good, at 8:59 are not. Counted
is the work: a shift is time in which she may be asked to work, and a plan keeps the rule by asking
her later.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from itertools import pairwise
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import MINUTES_PER_DAY, Number
from solver.rules.handwork import handwork, hours, is_concerned
from solver.rules.reading import Reading, Span
from solver.rules.rule import Breach, Parameters, Rule


class RestBetweenDays(Parameters):
    """How long the nights are."""

    minutes: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 660
    """The least minutes without work between two days of work."""


def _check(reading: Reading, parameters: RestBetweenDays, setting: RuleSetting) -> Iterator[Breach]:
    for staff, spans in handwork(reading).items():
        if not is_concerned(reading, staff, setting):
            continue
        days: dict[date, list[Span]] = defaultdict(list)
        for start, end in spans:
            days[reading.local(start).date()].append((start, end))
        for before, after in pairwise(days[day] for day in sorted(days)):
            ended, begun = max(end for _, end in before), after[0][0]
            if begun - ended >= parameters.minutes:
                continue
            who = reading.person(staff)
            yield Breach(
                detail=f"{who} works until {reading.at(ended)} and again from {reading.at(begun)}, "
                f"{hours(max(0, begun - ended))} later; {hours(parameters.minutes)} are the least.",
                remedy=f"Let {who} start at {reading.at(ended + parameters.minutes)} or later, or "
                "end earlier the day before.",
                staff=(staff,),
                window=reading.window(ended, begun),
            )


RULE = Rule(
    code="rest-between-days",
    sentence="Between two days of work lies enough rest.",
    parameters=RestBetweenDays,
    check=_check,
    scopes=("staff_tags",),
    source="Directive 2003/88/EC, article 3; check your local code",
    house_on=False,
)
