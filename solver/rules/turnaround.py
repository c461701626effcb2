"""Between two clients a chair is cleaned for `minutes`.

With 10 minutes, a client who leaves at 13:00 and one who sits down at 13:10 do not conflict.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import Number
from solver.rules.reading import Reading
from solver.rules.rule import Breach, Parameters, Rule, concerns
from solver.rules.stretches import chair_stretches


class Turnaround(Parameters):
    """How long cleaning takes."""

    minutes: Annotated[int, Field(ge=0, le=240), Number] = 10
    """Minutes between two clients on one chair."""


def _check(reading: Reading, parameters: Turnaround, setting: RuleSetting) -> Iterator[Breach]:
    for chair_id, stays in chair_stretches(reading).items():
        chair = reading.chairs.get(chair_id)
        if not concerns(chair.tags if chair else (), setting.scope.chair_tags):
            continue
        ordered = sorted(stays, key=lambda stay: (stay.start, stay.end))
        before = None
        for stay in ordered:
            # Overlapping stays are chair-one-client's affair.
            if before is not None and 0 <= stay.start - before.end < parameters.minutes:
                one = reading.client(before.visit or "")
                other = reading.client(stay.visit or "")
                yield Breach(
                    detail=f"{reading.chair(chair_id)} has {stay.start - before.end} min between "
                    f"{one}, who leaves at {reading.clock(before.end)}, and {other}, who comes at "
                    f"{reading.at(stay.start)}; cleaning takes {parameters.minutes}.",
                    remedy=f"Start {other} at {reading.at(before.end + parameters.minutes)} or "
                    "later, or on another chair.",
                    visits=tuple(dict.fromkeys((before.visit or "", stay.visit or ""))),
                    window=reading.window(before.end, before.end + parameters.minutes),
                )
            if before is None or stay.end > before.end:
                before = stay


RULE = Rule(
    code="turnaround",
    sentence="A chair is cleaned between two clients.",
    parameters=Turnaround,
    check=_check,
    scopes=("chair_tags",),
    source="Common practice, no source",
)
