"""The smallest set of rules and promises in the way, by deletion.

All causes together leave no place. Each is left out in turn: if there is still no place, it is not
to blame and stays out; else it is needed. What is left is minimal: without any one of it the
request would fit. A smaller set of other causes may exist, deletion finds one of them.
"""

from __future__ import annotations

from collections.abc import Sequence

from schemas.explanations import DayReasons, Reason
from solver.explain.case import Case
from solver.explain.causes import Cause, causes
from solver.model.search import Budget
from solver.rules import rule


def day_reasons(case: Case, budget: Budget) -> DayReasons:
    """Why the request has no place on this day; it must have been proved that it has none."""
    standing = list(causes(case))
    minimal = True
    out: list[Cause] = []
    for number, cause in enumerate(list(standing)):
        share = budget.part(budget.left / (len(standing) + len(out) - number))
        answer = _without([*out, cause], case).placed(share)
        if answer.impossible:
            out.append(cause)
        elif answer.placement is None:
            minimal = False
    blamed = [cause for cause in standing if cause not in out]
    return DayReasons(
        date=case.date,
        reasons=tuple(_reason(cause) for cause in reversed(blamed)),
        minimal=minimal,
        as_booked=case.as_booked,
        promises_hold=not case.alone(budget).impossible,
    )


def _without(left_out: Sequence[Cause], case: Case) -> Case:
    for cause in left_out:
        case = case.with_book(cause.without(case.book))
    return case


def _reason(cause: Cause) -> Reason:
    return Reason(
        rule=cause.rule,
        sentence=rule(cause.rule).sentence,
        detail=cause.detail[:400],
        visits=cause.visits,
        staff=cause.staff,
    )
