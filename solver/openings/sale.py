"""An opening put into the book: the block it touches with its plan, ready for the checker."""

from __future__ import annotations

from schemas.booking import Booking, Promise, Request
from schemas.daybook import DayBook
from schemas.openings import Opening
from schemas.plan import Plan, PlannedBreak, PlannedVisit
from schemas.rules import Finding
from solver.checker import check
from solver.openings.across import breaches_across, hard_across
from solver.openings.blocks import blocks_of, day_of
from solver.openings.breaks import complete_breaks
from solver.openings.standing import placed_visits


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
    own = tuple(each for each in opening.breaks if block.touches(each.window))
    return added(day_of(day_book, block, others), request, opening.visit, own)


def added(
    day: tuple[DayBook, Plan], request: Request, visit: PlannedVisit, own: tuple[PlannedBreak, ...]
) -> tuple[DayBook, Plan]:
    """A block's `day` (see `day_of`) with `visit` in it, its crew's breaks replaced by `own`.

    The request takes the place of a booking of the same id that has no place yet.
    """
    book, plan = day
    crew = {visit.lead, *visit.assistants}
    others = (each for each in plan.breaks if each.staff not in crew)
    return (
        book.model_copy(
            update={
                "bookings": tuple(each for each in book.bookings if each.id != request.id),
                "requests": (request,),
            }
        ),
        plan.model_copy(
            update={
                "visits": (*plan.visits, visit),
                "breaks": (*others, *own),
                "declined": tuple(each for each in plan.declined if each != request.id),
            }
        ),
    )


def hard_findings_of(day_book: DayBook, request: Request, opening: Opening) -> tuple[Finding, ...]:
    """What forbids selling `opening` into this book, day by day; nothing if it can be sold."""
    found = tuple(each for each in check(*sold(day_book, request, opening)) if each.hard)
    settings = hard_across(day_book)
    if found or not settings:
        return found
    return tuple(breaches_across(settings, day_book, request, opening.visit, opening.breaks))


def booking_of(request: Request, visit: PlannedVisit) -> Booking:
    """What `request` is on the book once it has this place: confirmed, its start promised."""
    kept = {
        name: getattr(request, name)
        for name in Booking.model_fields
        if name in Request.model_fields
    }
    return Booking(**kept, promise=Promise(start=visit.window.start), placed=visit)
