"""The chairs that people know, kept where the repaired day allows it.

The model places visits on groups of equal chairs and reckons in people and minutes; which group is
the same to it where neither changes. A client who has to hear of another chair for nothing is
trouble for nothing, so each is put back where she was, if the checker has nothing against it.
"""

from __future__ import annotations

from collections import Counter

from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedVisit
from schemas.rules import Finding
from solver.checker import check

MOST_TRIED = 24
"""Plans judged at most."""


def on_known_chairs(book: DayBook, plan: Plan, before: Plan) -> Plan:
    """The plan with as many visits on their chair of `before` as are found to do no harm.

    All at once is tried first, then one after the other in order of time.
    """
    known = {visit.visit: visit.chair for visit in before.visits if visit.chair is not None}
    moved = [visit for visit in plan.visits if known.get(visit.visit, visit.chair) != visit.chair]
    if not moved:
        return plan
    judged = _judged(check(book, plan))
    back = {visit.visit: known[visit.visit] for visit in moved}
    whole = _seated(plan, back)
    if _no_worse(_judged(check(book, whole)), judged):
        return whole
    for visit in sorted(moved, key=lambda each: each.window.start)[:MOST_TRIED]:
        tried = _seated(plan, {visit.visit: back[visit.visit]})
        now = _judged(check(book, tried))
        if _no_worse(now, judged):
            plan, judged = tried, now
    return plan


def _seated(plan: Plan, chairs: dict[str, str]) -> Plan:
    def seated(visit: PlannedVisit) -> PlannedVisit:
        chair = chairs.get(visit.visit)
        return visit if chair is None else visit.model_copy(update={"chair": chair})

    return plan.model_copy(update={"visits": tuple(seated(visit) for visit in plan.visits)})


def _judged(findings: tuple[Finding, ...]) -> tuple[Counter[str], int]:
    """Hard findings by rule, and what the soft ones cost."""
    hard = Counter(finding.rule for finding in findings if finding.hard)
    return hard, sum(finding.cost for finding in findings if not finding.hard)


def _no_worse(one: tuple[Counter[str], int], other: tuple[Counter[str], int]) -> bool:
    return one[0] <= other[0] and one[1] <= other[1]
