"""A client who prefers a lead gets her."""

from __future__ import annotations

from collections.abc import Iterator

from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.rules import RuleSetting
from solver.rules.reading import Reading, occupied
from solver.rules.rule import Breach, NoParameters, Rule, concerns


def _check(
    day_book: DayBook, plan: Plan, _: NoParameters, setting: RuleSetting
) -> Iterator[Breach]:
    reading = Reading(day_book, plan)
    for planned in plan.visits:
        visit = reading.visits.get(planned.visit)
        if visit is None or visit.preferred_lead in {None, planned.lead}:
            continue
        if not concerns(visit.tags, setting.scope.visit_tags):
            continue
        start, end = occupied(planned)
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
