"""Help comes early in an install: an assistant begins with the lead, not when half is done.

The first rows at the nape are the easiest to share: there is room for two pairs of hands, and the
lead has not yet set the line that the front must follow. And a client who sees the work go fast at
first stays patient. Common practice, no source.

Counted are the steps of the grid from the start of a phase to the start of each help in it, begun
ones whole, `minutes` of which cost nothing. Being a wish, it also leaves out help that would come
late, unless with it more clients can be taken.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import Number
from solver.rules.reading import Reading, span
from solver.rules.rule import Breach, Parameters, Rule, concerns


class EarlyHelp(Parameters):
    """How soon help begins."""

    minutes: Annotated[int, Field(ge=0, le=240), Number] = 0
    """Minutes after the start of a phase in which help may begin at no cost."""


def _check(reading: Reading, parameters: EarlyHelp, setting: RuleSetting) -> Iterator[Breach]:
    step = reading.day_book.grid.minutes
    for planned in reading.plan.visits:
        visit = reading.visits.get(planned.visit)
        if not concerns(visit.tags if visit else (), setting.scope.visit_tags):
            continue
        for phase in planned.phases:
            begun = span(phase.window)[0]
            for help_ in phase.help:
                start, end = span(help_.window)
                late = start - begun
                if late <= parameters.minutes:
                    continue
                who, client = reading.person(help_.staff), reading.client(planned.visit)
                yield Breach(
                    detail=f"{who} helps with {client}'s {phase.kind} from {reading.at(start)}, "
                    f"{late} min after it began.",
                    remedy=f"Let {who} begin by {reading.at(begun + parameters.minutes)}, or give "
                    "the help to somebody who is free then.",
                    visits=(planned.visit,),
                    staff=(help_.staff,),
                    window=reading.window(start, end),
                    size=-(-(late - parameters.minutes) // step),
                )


RULE = Rule(
    code="early-help",
    sentence="Help comes early in an install.",
    parameters=EarlyHelp,
    check=_check,
    scopes=("visit_tags",),
    house_hard=False,
    source="Common practice, no source",
    house_on=False,
    only_soft=True,
)
