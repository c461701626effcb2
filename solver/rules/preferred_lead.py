"""A client who prefers a lead gets her."""

from __future__ import annotations

from collections.abc import Iterator

from schemas.rules import RuleSetting
from solver.rules.reading import Reading
from solver.rules.rule import Breach, NoParameters, Rule, concerns


def _check(reading: Reading, _: NoParameters, setting: RuleSetting) -> Iterator[Breach]:
    for planned in reading.plan.visits:
        visit = reading.visits.get(planned.visit)
        if visit is None or visit.preferred_lead in {None, planned.lead}:
            continue
        if not concerns(visit.tags, setting.scope.visit_tags):
            continue
        start, end = reading.occupied(planned)
        wanted = reading.person(visit.preferred_lead or "")
        yield Breach(
            detail=f"{reading.client(planned.visit)} would rather have {wanted} and gets "
            f"{reading.person(planned.lead)}, {reading.when(start, end)}.",
            remedy=f"Give the visit to {wanted} if she is free then, or at another time.",
            visits=(planned.visit,),
            staff=(planned.lead,),
            window=reading.window(start, end),
        )


RULE = Rule(
    code="preferred-lead",
    sentence="A client who prefers a lead gets her.",
    parameters=NoParameters,
    check=_check,
    scopes=("visit_tags",),
    house_hard=False,
    house_weight=20,
    source="House figure",
)
