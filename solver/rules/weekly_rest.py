"""Every week in which somebody works has a stretch of at least `minutes` without work.

A week is an ISO 8601 week on the salon's clock, Monday 0:00 to Monday 0:00; the stretch lies in it
wholly. 35 hours are 24 and the daily 11 of Directive 2003/88/EC, articles 3 and 5. The day of rest
may be the first of one week and the last of the next (Court of Justice, C-306/16), so weeks are
judged each on its own. Counted is the handwork in the plan; days that the day book does not hold
are taken to be free.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import MINUTES_PER_DAY, Number
from solver.rules.handwork import handwork, hours, is_concerned
from solver.rules.reading import Reading, Span, minute
from solver.rules.rule import Breach, Parameters, Rule


class WeeklyRest(Parameters):
    """How long the longest rest of a week is."""

    minutes: Annotated[int, Field(ge=0, le=7 * MINUTES_PER_DAY), Number] = 2100
    """The least minutes without work on end, once a week."""


def _check(reading: Reading, parameters: WeeklyRest, setting: RuleSetting) -> Iterator[Breach]:
    for staff, spans in handwork(reading).items():
        if not is_concerned(reading, staff, setting):
            continue
        weeks: dict[date, list[Span]] = defaultdict(list)
        for start, end in spans:
            for monday in {_monday(reading, start), _monday(reading, end - 1)}:
                weeks[monday].append((start, end))
        for monday, own in weeks.items():
            first, last = _midnight(reading, monday), _midnight(reading, monday + timedelta(7))
            longest = max(_gaps(own, first, last))
            if longest >= parameters.minutes:
                continue
            year, week, _ = monday.isocalendar()
            yield Breach(
                detail=f"{reading.person(staff)}'s longest rest in week {year}-W{week:02} is "
                f"{hours(longest)}; {hours(parameters.minutes)} are the least.",
                remedy=f"Keep {hours(parameters.minutes)} on end of that week free of work.",
                staff=(staff,),
                window=reading.window(first, last),
            )


def _gaps(spans: list[Span], first: int, last: int) -> Iterator[int]:
    """Lengths of what `spans`, in order, leave of `[first, last)`."""
    for start, end in spans:
        yield max(0, start - first)
        first = max(first, end)
    yield max(0, last - first)


def _monday(reading: Reading, at: int) -> date:
    local = reading.local(at).date()
    return local - timedelta(days=local.weekday())


def _midnight(reading: Reading, day: date) -> int:
    return minute(datetime.combine(day, time(0), tzinfo=reading.zone))


RULE = Rule(
    code="weekly-rest",
    sentence="Every week of work has one long rest.",
    parameters=WeeklyRest,
    check=_check,
    scopes=("staff_tags",),
    source="Directive 2003/88/EC, article 5; check your local code",
    house_on=False,
)
