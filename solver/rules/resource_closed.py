"""Basins or chairs are closed at some hours of a weekday, every week.

For example: the basins are closed on Monday morning. The hours are read on the local clock of each
date. Where basins are closed no phase at a basin meets those hours; where chairs are, no visit on a
chair of the scope's tags does, from its first to its last minute. Work that only touches the hours
is no breach. A breach stands for one phase, or for one visit.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from schemas.plan import PlannedVisit
from schemas.rules import RuleSetting
from schemas.units import LocalTime, Number
from solver.rules.reading import DAYS, Reading, Span, minute, span
from solver.rules.rule import Breach, Parameters, Rule, concerns

EVERY_DAY = 0


class ResourceClosed(Parameters):
    """What is closed and when."""

    what: Literal["basins", "chairs"] = "basins"
    """All basins, or the chairs of the scope's tags; all chairs where it names none."""
    weekday: Annotated[int, Field(ge=EVERY_DAY, le=7), Number] = 1
    """ISO 8601: 1 is Monday, 7 is Sunday; 0 is every day."""
    since: LocalTime = "00:00"
    """Closed from this time of day."""
    until: LocalTime = "12:00"
    """Open again from this time of day."""

    @model_validator(mode="after")
    def _closed_for_a_while(self) -> Self:
        if self.since >= self.until:
            raise ValueError("since must be before until; close the night in two settings")
        return self


def _check(reading: Reading, parameters: ResourceClosed, setting: RuleSetting) -> Iterator[Breach]:
    for planned in reading.plan.visits:
        if parameters.what == "chairs":
            chair = reading.chairs.get(planned.chair or "")
            if chair is not None and concerns(chair.tags, setting.scope.chair_tags):
                name = reading.chair(chair.id)
                yield from _breach(reading, parameters, planned, name, reading.occupied(planned))
            continue
        for phase in planned.phases:
            if phase.basin is not None:
                name = reading.basin(phase.basin)
                yield from _breach(reading, parameters, planned, name, span(phase.window))


def _breach(
    reading: Reading, parameters: ResourceClosed, planned: PlannedVisit, name: str, taken: Span
) -> Iterator[Breach]:
    for start, end in _closed(reading, parameters, taken):
        if taken[0] < end and start < taken[1]:
            day = "every day" if parameters.weekday == EVERY_DAY else DAYS[parameters.weekday - 1]
            yield Breach(
                detail=f"{reading.client(planned.visit)} is at {name} {reading.when(*taken)}; it "
                f"is closed {day} from {parameters.since} to {parameters.until}.",
                remedy=f"Be done by {reading.at(start)}, or start at {reading.clock(end)} or "
                "later.",
                visits=(planned.visit,),
                window=reading.window(max(taken[0], start), min(taken[1], end)),
            )
            return


def _closed(reading: Reading, parameters: ResourceClosed, taken: Span) -> Iterator[Span]:
    """The closed hours of every date that `taken` touches."""
    day, last = (reading.local(at).date() for at in taken)
    while day <= last:
        if parameters.weekday in {EVERY_DAY, day.isoweekday()}:
            yield (
                _instant(reading, day, parameters.since),
                _instant(reading, day, parameters.until),
            )
        day += timedelta(days=1)


def _instant(reading: Reading, day: date, clock: str) -> int:
    hours, minutes = (int(part) for part in clock.split(":"))
    local = datetime.combine(day + timedelta(days=hours // 24), time(hours % 24, minutes))
    return minute(local.replace(tzinfo=reading.zone))


RULE = Rule(
    code="resource-closed",
    sentence="Basins or chairs are closed at some hours of the week.",
    parameters=ResourceClosed,
    check=_check,
    scopes=("chair_tags",),
    source="House figure",
    house_on=False,
    repeatable=True,
)
