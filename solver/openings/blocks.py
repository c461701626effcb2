"""Days that hang together, each judged on its own.

Two opening windows belong to one block if some shift reaches into both. What happens in one block
cannot touch another: no shift, hence no person and no break, is in both.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from schemas.booking import Booking, BookingStatus
from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedBreak
from schemas.resources import Shift
from schemas.windows import TimeWindow
from solver.openings.shelf import stock_of_day


@dataclass(frozen=True)
class Block:
    """Opening windows in order, and the shifts that reach into them."""

    windows: tuple[TimeWindow, ...]
    shifts: tuple[Shift, ...]

    def touches(self, window: TimeWindow) -> bool:
        """Whether `window` meets the block's opening hours or shifts."""
        if not self.reach.overlaps(window):
            return False
        return any(each.overlaps(window) for each in self.windows) or any(
            shift.window.overlaps(window) for shift in self.shifts
        )

    def holds(self, booking: Booking) -> bool:
        """Whether a booking is of these days: its place, or where it has none its promise."""
        if booking.placed is not None:
            return self.touches(booking.placed.window)
        return self.reach.start <= booking.promise.start < self.reach.end

    @cached_property
    def reach(self) -> TimeWindow:
        """From the first opening or shift to the last."""
        every = [*self.windows, *(shift.window for shift in self.shifts)]
        return TimeWindow(start=min(w.start for w in every), end=max(w.end for w in every))


def blocks_of(day_book: DayBook) -> tuple[Block, ...]:
    """The blocks of the book, in order of time."""
    windows = sorted(day_book.open, key=lambda window: (window.start, window.end))
    shifts = sorted(day_book.shifts, key=lambda shift: (shift.window.start, shift.id))
    blocks: list[tuple[list[TimeWindow], list[Shift]]] = []
    rest = list(shifts)
    for window in windows:
        own = [shift for shift in rest if shift.window.overlaps(window)]
        rest = [shift for shift in rest if not shift.window.overlaps(window)]
        if blocks and any(shift.window.overlaps(window) for shift in blocks[-1][1]):
            blocks[-1][0].append(window)
            blocks[-1][1].extend(own)
        else:
            blocks.append(([window], own))
    return tuple(Block(tuple(windows), tuple(shifts)) for windows, shifts in blocks)


def day_of(
    day_book: DayBook, block: Block, breaks: tuple[PlannedBreak, ...]
) -> tuple[DayBook, Plan]:
    """The part of the book that `block` touches, and its plan as the book stands, with `breaks`.

    Bookings without a place count where they are promised; tentative ones are then declined.
    """
    bookings = tuple(booking for booking in day_book.bookings if block.holds(booking))
    declined = tuple(
        booking.id
        for booking in bookings
        if booking.placed is None and booking.status is BookingStatus.TENTATIVE
    )
    visits = tuple(
        booking.placed
        for booking in bookings
        if booking.placed is not None and booking.status is not BookingStatus.CANCELLED
    )
    book = day_book.model_copy(
        update={
            "open": block.windows,
            "shifts": block.shifts,
            "closures": tuple(c for c in day_book.closures if block.touches(c.window)),
            "bookings": bookings,
            "requests": (),
            "breaks": (),
            "stock": stock_of_day(day_book, block.windows),
        }
    )
    own = tuple(each for each in breaks if block.touches(each.window))
    return book, Plan(visits=visits, breaks=own, declined=declined)
