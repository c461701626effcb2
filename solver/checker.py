"""The independent checker: a day book and a plan in, findings out.

It works from the documents' own times and whole numbers, shares no code with the model or its time
frame, and judges a plan from anywhere, a hand-made or a damaged one too. It runs in
`O(n log n)` of the phases, helps and breaks in the plan.
"""

from __future__ import annotations

from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.rules import Finding
from solver.rules import rule, settings_in_force
from solver.rules.reading import Reading


def check(day_book: DayBook, plan: Plan) -> tuple[Finding, ...]:
    """Every breach of a rule in force, rule by rule in the order of `solver.rules.RULES`.

    An empty answer means the plan keeps every rule, hard and soft. The plan may be damaged in any
    way its document allows; a day book whose rules make no sense raises `RuleError`.
    """
    reading = Reading(day_book, plan)
    return tuple(
        finding
        for setting in settings_in_force(day_book)
        for finding in rule(setting.code).findings(reading, setting)
    )


def hard_findings(day_book: DayBook, plan: Plan) -> tuple[Finding, ...]:
    """The findings that forbid the plan."""
    return tuple(finding for finding in check(day_book, plan) if finding.hard)
