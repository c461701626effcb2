"""What of a book is touched when bookings and breaks change, and nothing else does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from schemas.booking import Booking
from schemas.daybook import DayBook
from schemas.plan import PlannedBreak, PlannedVisit
from solver.openings.blocks import Block

MAY_CHANGE = {"bookings", "breaks", "requests", "ranking"}
"""The fields of a day book that an index can follow; with another one it is built anew."""


@dataclass
class Changes:
    """Which blocks, people, chairs and basins are to be read again."""

    blocks: set[int] = field(default_factory=set)
    people: set[str] = field(default_factory=set)
    chairs: set[str] = field(default_factory=set)
    basins: set[str] = field(default_factory=set)


def changes(old: DayBook, new: DayBook, blocks: Sequence[Block]) -> Changes | None:
    """What differs between two books, or None where more than bookings and breaks does."""
    if any(
        getattr(old, name) is not getattr(new, name) and getattr(old, name) != getattr(new, name)
        for name in DayBook.model_fields
        if name not in MAY_CHANGE
    ):
        return None
    found = Changes()
    before = {booking.id: booking for booking in old.bookings}
    after = {booking.id: booking for booking in new.bookings}
    for name in before.keys() | after.keys():
        was, now = before.get(name), after.get(name)
        if was is not now and was != now:
            for booking in (was, now):
                if booking is not None:
                    _booking(booking, blocks, found)
    if [name for name in before if name in after] != [name for name in after if name in before]:
        found.blocks |= set(range(len(blocks)))  # the same bookings in another order
    _breaks(old.breaks, new.breaks, blocks, found)
    return found


def _booking(booking: Booking, blocks: Sequence[Block], found: Changes) -> None:
    found.blocks |= {number for number, block in enumerate(blocks) if block.holds(booking)}
    if booking.placed is not None:
        _visit(booking.placed, found)


def _visit(visit: PlannedVisit, found: Changes) -> None:
    found.people |= {visit.lead, *visit.assistants}
    found.basins |= {phase.basin for phase in visit.phases if phase.basin is not None}
    if visit.chair is not None:
        found.chairs.add(visit.chair)


def _breaks(
    old: Sequence[PlannedBreak],
    new: Sequence[PlannedBreak],
    blocks: Sequence[Block],
    found: Changes,
) -> None:
    def key(each: PlannedBreak) -> tuple[object, ...]:
        return each.staff, each.kind, each.window.start, each.window.end, each.inside

    was, now = {key(each): each for each in old}, {key(each): each for each in new}
    for different in was.keys() ^ now.keys():
        each = was.get(different) or now[different]
        found.people.add(each.staff)
        found.blocks |= {n for n, block in enumerate(blocks) if block.touches(each.window)}


def booked(
    book: DayBook,
    blocks: Sequence[Block],
    booking: Booking,
    breaks: tuple[PlannedBreak, ...] | None,
) -> DayBook:
    """The book with `booking` in it, and `breaks` in place of its crew's of the days it is on."""
    bookings = {each.id: each for each in book.bookings} | {booking.id: booking}
    kept = book.breaks
    if breaks is not None and booking.placed is not None:
        crew = {booking.placed.lead, *booking.placed.assistants}
        there = [block for block in blocks if block.holds(booking)]
        kept = tuple(
            each
            for each in kept
            if each.staff not in crew or not any(block.touches(each.window) for block in there)
        )
    changed = {"bookings": tuple(bookings.values()), "breaks": (*kept, *(breaks or ()))}
    return book.model_copy(update=changed)


def unbooked(book: DayBook, name: str) -> DayBook:
    """The book without this booking and the breaks inside its visit."""
    bookings = tuple(each for each in book.bookings if each.id != name)
    breaks = tuple(each for each in book.breaks if each.inside != name)
    return book.model_copy(update={"bookings": bookings, "breaks": breaks})
