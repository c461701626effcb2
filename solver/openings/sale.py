"""An opening put into the book: the block it touches with its plan, ready for the checker."""

from __future__ import annotations

from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.openings import Opening
from schemas.plan import Plan, PlannedBreak, PlannedVisit
from schemas.rules import Finding
from solver.checker import check
from solver.errors import PartlineError
from solver.openings.blocks import Block, blocks_of, day_of
from solver.openings.breaks import complete_breaks
from solver.openings.index import placed_visits


class OpeningRejectedError(PartlineError):
    """An opening that the checker does not let pass: a fault of ours, never of the book's."""


def sold(day_book: DayBook, request: Request, opening: Opening) -> tuple[DayBook, Plan]:
    """The days that `opening` touches once it is sold: their part of the book, and their plan.

    The crew's breaks of those days are the opening's; breaks that other shifts owe are completed.
    Raises LookupError where the opening lies outside all opening hours.
    """
    block = next(
        (
            block
            for block in blocks_of(day_book)
            if any(window.overlaps(opening.visit.window) for window in block.windows)
        ),
        None,
    )
    if block is None:
        raise LookupError("the opening lies outside all opening hours")
    others = complete_breaks(day_book, Plan(visits=placed_visits(day_book), breaks=day_book.breaks))
    return plan_with(day_book, block, request, opening.visit, breaks=others, own=opening.breaks)


def plan_with(
    day_book: DayBook,
    block: Block,
    request: Request,
    visit: PlannedVisit,
    *,
    breaks: tuple[PlannedBreak, ...],
    own: tuple[PlannedBreak, ...],
) -> tuple[DayBook, Plan]:
    """The block with `visit` in it: the book's `breaks`, those of the crew replaced by `own`."""
    crew = {visit.lead, *visit.assistants}
    others = (each for each in breaks if each.staff not in crew or not block.touches(each.window))
    return day_of(day_book, block, (*others, *own), visit, request=request)


def hard_findings_of(day_book: DayBook, request: Request, opening: Opening) -> tuple[Finding, ...]:
    """What forbids selling `opening` into this book, day by day; nothing if it can be sold."""
    return tuple(each for each in check(*sold(day_book, request, opening)) if each.hard)
