"""A visit that lasts longer than `longer` minutes does not start after `after` on the clock.

It is the length in the plan that counts, help and break included, and the local time of day at
which the client arrives. A start at `after` exactly is in time, and so is a visit of exactly
`longer` minutes at any hour. The rule may be set several times, for example once for children.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import MAX_MINUTES, LocalTime, Number
from solver.rules.reading import Reading
from solver.rules.rule import Breach, Parameters, Rule, concerns


class LatestStart(Parameters):
    """How long is long, and how late is late."""

    longer: Annotated[int, Field(ge=0, le=MAX_MINUTES), Number] = 360
    """Visits of more than so many minutes are concerned."""
    after: LocalTime = "13:00"
    """They start at this time of day or earlier."""


def _check(reading: Reading, parameters: LatestStart, setting: RuleSetting) -> Iterator[Breach]:
    hours, minutes = parameters.after.split(":")
    latest = int(hours) * 60 + int(minutes)
    for planned in reading.plan.visits:
        visit = reading.visits.get(planned.visit)
        if not concerns(visit.tags if visit else (), setting.scope.visit_tags):
            continue
        start, end = reading.occupied(planned)
        local = reading.local(start)
        if end - start <= parameters.longer or local.hour * 60 + local.minute <= latest:
            continue
        yield Breach(
            detail=f"{reading.client(planned.visit)}'s visit lasts {end - start} min and starts at "
            f"{reading.at(start)}; one of more than {parameters.longer} min starts by "
            f"{parameters.after}.",
            remedy=f"Start it by {parameters.after}, or shorten it with help.",
            visits=(planned.visit,),
            window=reading.window(start, end),
        )


RULE = Rule(
    code="latest-start",
    sentence="A long visit does not start late in the day.",
    parameters=LatestStart,
    check=_check,
    scopes=("visit_tags",),
    source="House figure",
    house_on=False,
    repeatable=True,
)
