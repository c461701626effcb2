"""A requested visit starts in the window the client prefers.

The size of a breach is the number of quarter hours, begun ones counted whole, from the start to the
nearest end of the window. A start at the window's very end is not outside it.
"""

from __future__ import annotations

from collections.abc import Iterator

from schemas.booking import Request
from schemas.rules import RuleSetting
from solver.rules.reading import Reading, span
from solver.rules.rule import Breach, NoParameters, Rule, concerns

QUARTER = 15


def _check(reading: Reading, _: NoParameters, setting: RuleSetting) -> Iterator[Breach]:
    for planned in reading.plan.visits:
        request = reading.visits.get(planned.visit)
        if not isinstance(request, Request) or request.preferred is None:
            continue
        if not concerns(request.tags, setting.scope.visit_tags):
            continue
        start, end = reading.occupied(planned)
        first, last = span(request.preferred)
        outside = max(first - start, start - last, 0)
        if outside:
            yield Breach(
                detail=f"{reading.client(planned.visit)} would rather start "
                f"{reading.when(first, last)}, and starts at {reading.at(start)}.",
                remedy=f"Start {outside} min {'later' if start < first else 'earlier'} "
                "if a chair and a lead are free then.",
                visits=(planned.visit,),
                window=reading.window(start, end),
                size=-(-outside // QUARTER),
            )


RULE = Rule(
    code="preferred-time",
    sentence="A requested visit starts when the client prefers.",
    parameters=NoParameters,
    check=_check,
    scopes=("visit_tags",),
    house_hard=False,
    house_weight=1,
    source="House figure",
)
