"""Somebody calls off: who of those who wait could take the gap, in fair order."""

from __future__ import annotations

from dataclasses import dataclass

from schemas.booking import Booking, BookingStatus
from schemas.daybook import DayBook
from schemas.openings import (
    GapQuestion,
    GapTaker,
    GapTakers,
    Opening,
    OpeningsQuestion,
    Waiting,
)
from schemas.windows import TimeWindow
from solver.errors import DayBookError, Fault
from solver.openings.find import openings_in
from solver.openings.index import BookIndex
from solver.openings.sale import booking_of


def gap_takers(
    day_book: DayBook, question: GapQuestion, *, index: BookIndex | None = None
) -> GapTakers:
    """Who could take the place that a booking leaves, or a place that reaches into it.

    Who has waited longest comes first; who waits equally long, by id. Each is told the best place
    for herself if she is asked first, and the best one that is left once all before her have taken
    theirs. Pass the `index` of the same book to spare building it. Raises DayBookError where
    nothing is freed or somebody who waits has a place, and what `find_openings` raises.
    """
    freed = _freed(day_book, question.freed)
    index = index or BookIndex.of(day_book)
    placed = [
        Fault(f"/waiting/{number}/request/id", f"{each.request.id} has a place in the book already")
        for number, each in enumerate(question.waiting)
        if each.request.id in index.facts.placed
    ]
    if placed:
        raise DayBookError(*placed)
    gap = freed.window
    book = _Books(
        before=index.with_booking(
            freed.booking.model_copy(update={"status": BookingStatus.CONFIRMED})
        ),
        after=index.without_booking(question.freed),
    )
    takers: list[GapTaker] = []
    waits_on: list[str] = []
    taken = book.after
    for waiting in sorted(question.waiting, key=lambda each: (each.since, each.request.id)):
        alone = _best(book.after, waiting, gap)
        if alone is None:
            waits_on.append(waiting.request.id)
            continue
        left = alone if taken is book.after else _best(taken, waiting, gap)
        if left is not None:
            taken = taken.with_booking(booking_of(waiting.request, left.visit), left.breaks)
        takers.append(
            GapTaker(
                request=waiting.request.id,
                since=waiting.since,
                opening=alone,
                only_now=_best(book.before, waiting) is None,
                after_others=left,
            )
        )
    return GapTakers(
        freed=question.freed, gap=gap, takers=tuple(takers), without_place=tuple(waits_on)
    )


@dataclass(frozen=True)
class _Freed:
    booking: Booking
    window: TimeWindow


@dataclass(frozen=True)
class _Books:
    """The book with the freed booking in its place, and without it."""

    before: BookIndex
    after: BookIndex


def _freed(day_book: DayBook, name: str) -> _Freed:
    for booking in day_book.bookings:
        if booking.id == name and booking.placed is not None:
            return _Freed(booking, booking.placed.window)
    raise DayBookError(Fault("/freed", f"{name} is no booking with a place in the book"))


def _best(index: BookIndex, waiting: Waiting, gap: TimeWindow | None = None) -> Opening | None:
    question = OpeningsQuestion(request=waiting.request, wish=waiting.wish, limit=1)
    answer = openings_in(index, question, near=gap)
    return answer.openings[0] if answer.openings else None
