"""The day book of a span of days, as the book on record says it at one moment."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from pydantic import ValidationError

from api.services.errors import ConflictError, NotSetUpError
from api.services.house_rates import rates_set
from api.services.house_rules import settings_of
from api.services.opening_hours import local_day, whole_days, windows
from api.services.ports import UnitOfWork
from api.services.salon import salon_of
from api.services.shelf import known_materials
from schemas.booking import Booking, Request
from schemas.daybook import DayBook
from schemas.dealings import BookingRecord
from schemas.hair import Material, StockLine
from schemas.holds import Hold
from schemas.plan import Plan, PlannedBreak
from schemas.resources import Chair, ChairClosure, Shift, StaffMember
from schemas.rules import RuleSetting
from schemas.salon import Closure, Salon
from schemas.takeoff import RateOverride
from schemas.windows import TimeWindow
from solver.cross_check import cross_check
from solver.errors import InputError

MOST_BOOKINGS = 4_000
"""Records whose bookings are kept beside them; twelve weeks of a large salon have some 2,000."""
_BOOKINGS: dict[int, tuple[BookingRecord | Hold, Booking]] = {}
"""By the identity of a record, which is kept too so that no other takes its identity."""


@dataclass(frozen=True)
class Snapshot:
    """Everything the book says of the days from `first` to `last`, at one revision."""

    revision: int
    first: date
    last: date
    salon: Salon
    chairs: tuple[Chair, ...]
    staff: tuple[StaffMember, ...]
    shifts: tuple[Shift, ...]
    closures: tuple[Closure, ...]
    rules: tuple[RuleSetting, ...]
    placed: tuple[BookingRecord, ...]
    waiting: tuple[BookingRecord, ...]
    breaks: tuple[PlannedBreak, ...]
    materials: tuple[Material, ...]
    stock: tuple[StockLine, ...]
    rates: tuple[RateOverride, ...]
    held: tuple[Hold, ...] = ()
    """Places that are held. Breaks inside them are among the breaks."""

    @property
    def span(self) -> TimeWindow:
        return whole_days(self.first, self.last, self.salon.zone)

    @property
    def bookings(self) -> tuple[Booking, ...]:
        """What is promised, and what is held: nobody else is offered either."""
        records: tuple[BookingRecord | Hold, ...] = (*self.placed, *self.held)
        every = [_as_booking(each) for each in records]
        # In one order, so that an index follows when a hold becomes a booking.
        return tuple(sorted(every, key=lambda booking: (booking.promise.start, booking.id)))

    @property
    def plan(self) -> Plan:
        """What is on the book, as a plan."""
        visits = (record.placed for record in self.placed if record.placed is not None)
        held = (each.opening.visit for each in self.held)
        return Plan(visits=(*visits, *held), breaks=self.breaks)

    def without(self, names: Iterable[str]) -> Snapshot:
        """The same, as if these bookings or holds and the breaks inside them were not there."""
        gone = set(names)
        return Snapshot(
            **{
                **self.__dict__,
                "placed": tuple(record for record in self.placed if record.id not in gone),
                "held": tuple(each for each in self.held if each.id not in gone),
                "breaks": tuple(each for each in self.breaks if each.inside not in gone),
            }
        )

    def has_place(self, name: str) -> bool:
        """Whether a visit of that name is placed, or holds a place."""
        placed, held = (each.id for each in self.placed), (each.id for each in self.held)
        return name in placed or name in held

    def at(self, instant: datetime) -> Snapshot:
        """The same, without holds whose time is over by then."""
        over = tuple(each.id for each in self.held if not each.holds_at(instant))
        return self.without(over) if over else self

    @property
    def agreed(self) -> Snapshot:
        """The same, with what is promised alone: nothing that is only held."""
        return self.without(each.id for each in self.held)

    def day_book(self, requests: tuple[Request, ...] = ()) -> DayBook:
        """The day book to plan and to look for openings in.

        Raises NotSetUpError where nobody is in or the salon is closed on all these days,
        ConflictError where there is more in them than one day book holds.
        """
        facts = self._facts(requests)
        if not facts["open"]:
            raise NotSetUpError("the salon is closed on these days")
        if not facts["staff"] or not facts["shifts"]:
            raise NotSetUpError("nobody has a shift on these days")
        try:
            return DayBook(**facts)
        except ValidationError as too_much:
            first = too_much.errors(include_url=False, include_context=False)[0]
            place = "/".join(str(part) for part in first["loc"])
            raise ConflictError(f"the book of these days cannot be read: {place}") from too_much

    def sound_day_book(self, requests: tuple[Request, ...] = ()) -> DayBook:
        """As `day_book`. Raises ConflictError where the book on record contradicts itself."""
        book = self.day_book(requests)
        try:
            cross_check(book)
        except InputError as wrong:
            raise ConflictError(f"the salon's own book is at fault: {wrong}") from wrong
        return book

    def any_day_book(self) -> DayBook:
        """The day book for looking at, which may have no shift and no open day at all."""
        return DayBook.model_construct(**self._facts(()))

    def _facts(self, requests: tuple[Request, ...]) -> dict[str, Any]:
        return {
            "zone": self.salon.zone,
            "grid": self.salon.grid,
            "open": windows(self.salon, self.first, self.last),
            "chairs": self.chairs,
            "basins": self.salon.basins,
            "closures": tuple(
                ChairClosure(chair=each.chair, window=each.window, reason=each.reason)
                for each in self.closures
            ),
            "staff": self.staff,
            "shifts": self.shifts,
            "rules": settings_of(self.rules),
            "bookings": self.bookings,
            "requests": requests,
            "breaks": self.breaks,
            "materials": self.materials,
            "stock": self.stock,
            "rates": self.rates,
            "ranking": self.salon.ranking,
        }


def forget_bookings() -> None:
    """Keep no booking in memory beside its record: it may name a client who is erased."""
    _BOOKINGS.clear()


def _as_booking(record: BookingRecord | Hold) -> Booking:
    """The very same booking for the very same record: an index sees at a glance what changed."""
    known = _BOOKINGS.get(id(record))
    if known is None or known[0] is not record:
        if len(_BOOKINGS) >= MOST_BOOKINGS:
            _BOOKINGS.clear()
        known = _BOOKINGS[id(record)] = record, record.as_booking()
    return known[1]


async def read_snapshot(unit: UnitOfWork, first: date, last: date) -> Snapshot:
    """Read the days in one unit of work. Raises NotSetUpError before the salon is told."""
    salon = await salon_of(unit)
    span = whole_days(first, last, salon.zone)
    held = await unit.holds.during(span)
    holding = {each.id for each in held}
    return Snapshot(
        revision=unit.revision,
        first=first,
        last=last,
        salon=salon,
        chairs=await unit.chairs.all(),
        staff=await unit.staff.all(),
        shifts=await unit.shifts.during(span),
        closures=await unit.closures.during(span),
        rules=await unit.rules.all(),
        placed=await unit.bookings.placed(span),
        waiting=tuple(
            record for record in await unit.bookings.waiting(span) if record.id not in holding
        ),
        breaks=(
            *await unit.breaks.during(span),
            *(each for hold in held for each in hold.opening.breaks if each.inside == hold.id),
        ),
        held=held,
        **await aside_of(unit),
    )


async def aside_of(unit: UnitOfWork) -> dict[str, Any]:
    """What of a snapshot is no part of the book: it changes without a new revision."""
    return {
        "materials": await known_materials(unit),
        "stock": await unit.stock.all(),
        "rates": await rates_set(unit),
    }


def days_of(request: Request, zone: str) -> tuple[date, date]:
    """The first and the last day on which a request would like to come."""
    starts = min(window.start for window in request.windows)
    ends = max(window.end for window in request.windows)
    return local_day(starts, zone), local_day(ends, zone)
