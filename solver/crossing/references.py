"""Ids of a day book that lead nowhere."""

from __future__ import annotations

from collections.abc import Container, Iterator

from schemas.booking import Booking, Request
from schemas.daybook import DayBook
from schemas.plan import PlannedVisit
from schemas.resources import Role
from solver.errors import Fault


class _Known:
    """The ids a day book knows."""

    def __init__(self, day_book: DayBook) -> None:
        self.chairs = {chair.id for chair in day_book.chairs}
        self.basins = {basin.id for basin in day_book.basins}
        self.staff = {person.id for person in day_book.staff}
        self.leads = {person.id for person in day_book.staff if Role.LEAD in person.roles}
        self.visits = {visit.id for visit in (*day_book.bookings, *day_book.requests)}


def reference_faults(day_book: DayBook) -> Iterator[Fault]:
    known = _Known(day_book)
    for index, closure in enumerate(day_book.closures):
        yield from _unknown(f"/closures/{index}/chair", closure.chair, known.chairs, "chair")
    for index, shift in enumerate(day_book.shifts):
        yield from _unknown(f"/shifts/{index}/staff", shift.staff, known.staff, "member of staff")
    for index, booking in enumerate(day_book.bookings):
        pointer = f"/bookings/{index}"
        yield from _leads(pointer, booking, known)
        yield from _promised_lead(pointer, booking, known)
        if booking.placed is not None:
            yield from _placed(f"{pointer}/placed", booking.placed, known)
    for index, request in enumerate(day_book.requests):
        yield from _leads(f"/requests/{index}", request, known)
    for index, planned in enumerate(day_book.breaks):
        pointer = f"/breaks/{index}"
        yield from _unknown(f"{pointer}/staff", planned.staff, known.staff, "member of staff")
        if planned.inside is not None:
            yield from _unknown(f"{pointer}/inside", planned.inside, known.visits, "visit")


def _unknown(pointer: str, name: str, known: Container[str], what: str) -> Iterator[Fault]:
    if name not in known:
        yield Fault(pointer, f"there is no {what} {name} in this day book")


def _a_lead(pointer: str, name: str, known: _Known) -> Iterator[Fault]:
    yield from _unknown(pointer, name, known.staff, "member of staff")
    if name in known.staff and name not in known.leads:
        yield Fault(pointer, f"{name} is not a lead")


def _leads(pointer: str, visit: Booking | Request, known: _Known) -> Iterator[Fault]:
    if visit.required_lead is not None:
        yield from _a_lead(f"{pointer}/required_lead", visit.required_lead, known)
    if visit.preferred_lead is not None:
        yield from _a_lead(f"{pointer}/preferred_lead", visit.preferred_lead, known)
    for number, name in enumerate(visit.refused_leads):
        yield from _unknown(
            f"{pointer}/refused_leads/{number}", name, known.staff, "member of staff"
        )


def _promised_lead(pointer: str, booking: Booking, known: _Known) -> Iterator[Fault]:
    promised = booking.promise.lead
    if promised is None:
        return
    where = f"{pointer}/promise/lead"
    yield from _a_lead(where, promised, known)
    if booking.required_lead not in {None, promised}:
        yield Fault(where, f"{promised} is promised, but {booking.required_lead} is required")
    if promised in booking.refused_leads:
        yield Fault(where, f"{promised} is promised and also refused")


def _placed(pointer: str, placed: PlannedVisit, known: _Known) -> Iterator[Fault]:
    if placed.chair is not None:
        yield from _unknown(f"{pointer}/chair", placed.chair, known.chairs, "chair")
    yield from _unknown(f"{pointer}/lead", placed.lead, known.staff, "member of staff")
    for number, phase in enumerate(placed.phases):
        where = f"{pointer}/phases/{number}"
        yield from _unknown(f"{where}/performer", phase.performer, known.staff, "member of staff")
        if phase.basin is not None:
            yield from _unknown(f"{where}/basin", phase.basin, known.basins, "basin")
        for which, help_ in enumerate(phase.help):
            yield from _unknown(
                f"{where}/help/{which}/staff", help_.staff, known.staff, "member of staff"
            )
