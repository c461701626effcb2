"""Short questions to the checker."""

from __future__ import annotations

from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.rules import Finding
from solver.checker import check


def broken(day_book: DayBook, plan: Plan) -> set[str]:
    """The codes of the rules the plan breaks."""
    return {finding.rule for finding in check(day_book, plan)}


def findings_of(code: str, day_book: DayBook, plan: Plan) -> tuple[Finding, ...]:
    return tuple(finding for finding in check(day_book, plan) if finding.rule == code)


def the_finding(code: str, day_book: DayBook, plan: Plan) -> Finding:
    """The one finding of that rule; fails if there are none or several."""
    (finding,) = findings_of(code, day_book, plan)
    return finding
