"""Check: a day book and the plan to be judged against it."""

from __future__ import annotations

from schemas.base import Document
from schemas.daybook import DayBook
from schemas.plan import Plan


class CheckRequest(Document):
    """A plan to be checked against the rules that are in force in its day book."""

    day_book: DayBook
    plan: Plan
