"""One day of a day book with one request: the smallest thing to ask about."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from schemas.booking import Booking, Request
from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.windows import TimeWindow
from solver.days import DayPart
from solver.frame import Frame
from solver.model.build import build_day
from solver.model.facts import Day, is_promised
from solver.model.feasible import Feasibility, place_all
from solver.model.held import Held, held_visit
from solver.model.search import Budget
from solver.rules import settings_in_force
from solver.rules.reading import Reading


@dataclass(frozen=True)
class Case:
    """The day's openings and shifts, its promises, and the request alone.

    `as_booked` keeps every booking that has a place exactly there, crew and all; else bookings may
    be arranged anew within their promises.
    """

    book: DayBook
    as_booked: bool = False

    @classmethod
    def of(cls, book: DayBook, part: DayPart, request: Request) -> Case:
        return cls(
            book.model_copy(
                update={
                    "open": tuple(part.openings),
                    "shifts": tuple(part.shifts),
                    "bookings": tuple(b for b in part.bookings if is_promised(b)),
                    "requests": (request,),
                }
            )
        )

    @property
    def request(self) -> Request:
        return self.book.requests[0]

    @property
    def bookings(self) -> tuple[Booking, ...]:
        return self.book.bookings

    @property
    def date(self) -> date:
        return self.book.open[0].start.astimezone(ZoneInfo(self.book.zone)).date()

    @property
    def whole_day(self) -> TimeWindow:
        """From local midnight before the first opening to the one after the last."""
        frame = Frame.starting(self.date, self.book.zone)
        last = max(window.end for window in self.book.open)
        day_after = frame.local_day(last - timedelta(minutes=1)) + timedelta(days=1)
        midnight = datetime.combine(day_after, time(0), ZoneInfo(self.book.zone))
        return TimeWindow(start=frame.instant(0), end=midnight)

    @property
    def words(self) -> Reading:
        """Names and times for people."""
        return Reading(self.book, Plan())

    def day(self) -> Day:
        """The day in steps, for the model."""
        book = self.book
        return build_day(
            book,
            book.open,
            book.shifts,
            (*book.bookings, *book.requests),
            settings_in_force(book),
        )

    def placed(self, budget: Budget) -> Feasibility:
        """Place the request beside every promise, or prove that it cannot be."""
        day = self.day()
        return place_all(day, budget, _as_booked(day, self.bookings) if self.as_booked else None)

    def alone(self, budget: Budget) -> Feasibility:
        """Place every promise without the request, or prove that they cannot all hold."""
        return self.with_book(self.book.model_copy(update={"requests": ()})).placed(budget)

    def with_book(self, book: DayBook) -> Case:
        return Case(book, self.as_booked)


def _as_booked(day: Day, bookings: tuple[Booking, ...]) -> Held:
    return Held(
        visits={
            booking.id: held_visit(day, booking.placed)
            for booking in bookings
            if booking.placed is not None and len(booking.placed.phases) == len(booking.phases)
        }
    )
