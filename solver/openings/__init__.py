"""Openings: where a request fits the book as it stands, ranked, with reasons; or rearranged."""

from solver.openings.breaks import complete_breaks
from solver.openings.find import find_openings
from solver.openings.gaps import gap_takers
from solver.openings.groups import find_group_openings
from solver.openings.index import BookIndex
from solver.openings.rearranging import rearranged_days
from solver.openings.sale import booking_of, hard_findings_of, sold

__all__ = [
    "BookIndex",
    "booking_of",
    "complete_breaks",
    "find_group_openings",
    "find_openings",
    "gap_takers",
    "hard_findings_of",
    "rearranged_days",
    "sold",
]
