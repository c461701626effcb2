"""Nobody braids for more than `minutes` on end.

A stretch of handwork ends where at least `pause` minutes follow without any: a break, inside an
install or not, or a gap between clients. Shorter gaps do not end it and are counted in it. With 300
and 30, work `[9:00, 12:00)` and `[12:20, 14:20)` is one stretch of 5 h 20 min, a breach;
`[9:00, 14:00)`, half an hour of rest and `[14:30, 18:00)` is none.

The figures can state a law: no more than five hours on end without half an hour (Ontario Employment
Standards Act, s. 20), no more than six without a break (German ArbZG, s. 4). Counted is the
handwork, over shifts that touch too. One finding for each person and day, naming the longest.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import MINUTES_PER_DAY, Number
from solver.rules.handwork import handwork, hours, is_concerned, joined
from solver.rules.reading import Reading, Span
from solver.rules.rule import Breach, Parameters, Rule


class LongestStretch(Parameters):
    """How long on end, and what ends a stretch."""

    minutes: Annotated[int, Field(ge=30, le=MINUTES_PER_DAY), Number] = 300
    """The most minutes of handwork on end."""
    pause: Annotated[int, Field(ge=1, le=240), Number] = 30
    """Minutes without handwork that end a stretch."""


def _check(reading: Reading, parameters: LongestStretch, setting: RuleSetting) -> Iterator[Breach]:
    for staff, spans in handwork(reading).items():
        if not is_concerned(reading, staff, setting):
            continue
        days: dict[str, list[Span]] = defaultdict(list)
        for start, end in joined(spans, parameters.pause):
            if end - start > parameters.minutes:
                days[reading.day(start)].append((start, end))
        for stretches in days.values():
            start, end = max(stretches, key=lambda each: each[1] - each[0])
            latest = start + parameters.minutes
            who = reading.person(staff)
            yield Breach(
                detail=f"{who} works {hours(end - start)} on end, {reading.when(start, end)}; "
                f"{hours(parameters.minutes)} are the most.",
                remedy=f"Give {who} {parameters.pause} min without work that start at "
                f"{reading.at(latest)} or earlier.",
                staff=(staff,),
                window=reading.window(start, end),
            )


RULE = Rule(
    code="longest-stretch",
    sentence="Nobody works too long on end without a break or a gap.",
    parameters=LongestStretch,
    check=_check,
    scopes=("staff_tags",),
    source="Common practice, no source; check your local code",
    house_on=False,
)
