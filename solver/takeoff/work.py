"""Day books: every visit that states a take-off gets the phases and the hair it implies."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple, TypeVar

from schemas.booking import Booking, Request, Visit
from schemas.daybook import DayBook
from schemas.hair import Material
from solver.errors import Fault, StyleError
from solver.takeoff.materials import shelf
from solver.takeoff.rates import RateBook, rate_book
from solver.takeoff.reckoning import take_off_with

V = TypeVar("V", Booking, Request)


def with_work(day_book: DayBook) -> DayBook:
    """`day_book` with phases and hair in place of every take-off; other visits stay as they are.

    Materials and rates come from the take-off, then the day book, then the house. Raises one
    StyleError that lists the faults of all visits, with pointers such as
    `/bookings/3/take_off/style/size`, or those of the book's own rates, `/rates/0/value`.
    """
    known = _Known(shelf(day_book.materials), rate_book(day_book.rates))
    faults: list[Fault] = []
    bookings = _worked(day_book.bookings, "/bookings", known, faults)
    requests = _worked(day_book.requests, "/requests", known, faults)
    if faults:
        raise StyleError(*faults)
    if bookings is day_book.bookings and requests is day_book.requests:
        return day_book
    return day_book.model_copy(update={"bookings": bookings, "requests": requests})


class _Known(NamedTuple):
    """What the salon has and reckons with."""

    materials: Mapping[str, Material]
    rates: RateBook


def _worked(visits: tuple[V, ...], where: str, known: _Known, faults: list[Fault]) -> tuple[V, ...]:
    if all(visit.take_off is None for visit in visits):
        return visits
    done = []
    for index, visit in enumerate(visits):
        try:
            done.append(visit.model_copy(update=_work(visit, known)))
        except StyleError as error:
            at = f"{where}/{index}/take_off"
            faults.extend(Fault(at + fault.pointer, fault.detail) for fault in error.faults)
    return tuple(done)


def _work(visit: Visit, known: _Known) -> dict[str, object]:
    request = visit.take_off
    if request is None:
        return {}
    materials = {**known.materials, **{material.id: material for material in request.materials}}
    answer = take_off_with(request, materials, known.rates)
    return {"phases": answer.phases, "hair": answer.hair, "take_off": None}
