"""Between two successive phases of a visit the client waits at most `minutes`.

Not in force, a wait may be as long as the day. Time that a break inside a phase takes is no wait.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import MINUTES_PER_DAY, Number
from solver.rules.reading import Reading, span
from solver.rules.rule import Breach, Parameters, Rule, concerns


class LongestWait(Parameters):
    """How long a client may be left waiting."""

    minutes: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 15
    """The longest wait between two successive phases."""


def _check(reading: Reading, parameters: LongestWait, setting: RuleSetting) -> Iterator[Breach]:
    for planned in reading.plan.visits:
        visit = reading.visits.get(planned.visit)
        if not concerns(visit.tags if visit else (), setting.scope.visit_tags):
            continue
        for before, after in zip(planned.phases, planned.phases[1:], strict=False):
            start, end = span(before.window)[1], span(after.window)[0]
            if end - start > parameters.minutes:
                yield Breach(
                    detail=f"{reading.client(planned.visit)} waits {end - start} min between "
                    f"{before.kind} and {after.kind}, {reading.when(start, end)}; the longest wait "
                    f"is {parameters.minutes} min.",
                    remedy=f"Start {after.kind} by {reading.at(start + parameters.minutes)}.",
                    visits=(planned.visit,),
                    window=reading.window(start, end),
                )


RULE = Rule(
    code="longest-wait",
    sentence="No client waits too long between two phases.",
    parameters=LongestWait,
    check=_check,
    scopes=("visit_tags",),
    source="Common practice, no source",
)
