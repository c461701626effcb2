"""Day books: every visit that states a take-off gets the phases and the hair it implies."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from schemas.booking import Booking, Request, Visit
from schemas.daybook import DayBook
from schemas.hair import Material
from solver.errors import Fault, StyleError
from solver.takeoff.materials import shelf
from solver.takeoff.reckoning import take_off_with

V = TypeVar("V", Booking, Request)


def with_work(day_book: DayBook) -> DayBook:
    """`day_book` with phases and hair in place of every take-off; other visits stay as they are.

    Materials come from the take-off, then the day book, then the house. Raises one StyleError that
    lists the faults of all visits, with pointers such as `/bookings/3/take_off/style/size`.
    """
    faults: list[Fault] = []
    bookings = _worked(day_book.bookings, "/bookings", day_book.materials, faults)
    requests = _worked(day_book.requests, "/requests", day_book.materials, faults)
    if faults:
        raise StyleError(*faults)
    if bookings is day_book.bookings and requests is day_book.requests:
        return day_book
    return day_book.model_copy(update={"bookings": bookings, "requests": requests})


def _worked(
    visits: tuple[V, ...], where: str, materials: tuple[Material, ...], faults: list[Fault]
) -> tuple[V, ...]:
    if all(visit.take_off is None for visit in visits):
        return visits
    house = shelf(materials)
    done = []
    for index, visit in enumerate(visits):
        try:
            done.append(visit.model_copy(update=_work(visit, house)))
        except StyleError as error:
            at = f"{where}/{index}/take_off"
            faults.extend(Fault(at + fault.pointer, fault.detail) for fault in error.faults)
    return tuple(done)


def _work(visit: Visit, house: Mapping[str, Material]) -> dict[str, object]:
    request = visit.take_off
    if request is None:
        return {}
    known = {**house, **{material.id: material for material in request.materials}}
    answer = take_off_with(request, known)
    return {"phases": answer.phases, "hair": answer.hair, "take_off": None}
