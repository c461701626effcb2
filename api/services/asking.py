"""Requests as they come in: made to speak the salon's time, and reckoned into work."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta, timezone
from typing import Any
from zoneinfo import ZoneInfo

from api.services.day_books import Snapshot
from api.services.errors import UnprocessableError
from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.resources import Role
from schemas.windows import TimeWindow
from solver.cross_check import cross_check
from solver.errors import Fault, InputError
from solver.takeoff.work import with_work

LONGEST_SPAN_DAYS = 62


def in_zone(window: TimeWindow, zone: str) -> TimeWindow:
    """The same window, written with the salon's offsets."""
    return TimeWindow(start=in_local_time(window.start, zone), end=in_local_time(window.end, zone))


def in_local_time(instant: datetime, zone: str) -> datetime:
    """The same instant, written with the salon's offset."""
    local = instant.astimezone(ZoneInfo(zone))
    return local.replace(tzinfo=timezone(local.utcoffset() or timedelta()))


def local_request(request: Request, zone: str) -> Request:
    """The request in the salon's time."""
    preferred = request.preferred
    return request.model_copy(
        update={
            "windows": tuple(in_zone(window, zone) for window in request.windows),
            "preferred": None if preferred is None else in_zone(preferred, zone),
        }
    )


def require_bounded(first: date, last: date, pointer: str) -> None:
    if (last - first).days >= LONGEST_SPAN_DAYS:
        raise UnprocessableError(
            Fault(pointer, f"must lie within {LONGEST_SPAN_DAYS} days of each other")
        )


def whole_minute(now: datetime) -> datetime:
    """This minute, or the next one if it has begun."""
    rounded = now.replace(second=0, microsecond=0)
    return rounded if rounded == now else rounded + timedelta(minutes=1)


def upcoming(request: Request, now: datetime, pointer: str) -> Request:
    """The request with what is over cut off its windows. Raises where nothing is left."""
    soonest = whole_minute(now)
    left = tuple(
        window
        if window.start >= soonest
        else TimeWindow(start=soonest.astimezone(window.start.tzinfo), end=window.end)
        for window in request.windows
        if window.end > soonest
    )
    if not left:
        raise UnprocessableError(Fault(pointer, "all of it is in the past"))
    return request.model_copy(update={"windows": left})


def reckoned(request: Request, snapshot: Snapshot) -> Request:
    """The request with its work in phases, by the rates and materials of today.

    Raises UnprocessableError with pointers from the request's root, such as `/take_off/style/size`.
    """
    # Only the request, the materials and the rates matter here; the days need not even be open.
    facts: dict[str, Any] = {"bookings": (), "requests": (request,)}
    book = DayBook.model_construct(**facts, materials=snapshot.materials, rates=snapshot.rates)
    try:
        return with_work(book).requests[0]
    except InputError as wrong:
        raise UnprocessableError(*from_root(wrong.faults)) from wrong


def from_root(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Faults of a day book's only request, told from the request's root."""
    return tuple(Fault(fault.pointer.removeprefix("/requests/0"), fault.detail) for fault in faults)


def below(pointer: str, wrong: UnprocessableError) -> UnprocessableError:
    """The same faults, told from where the request lies in the body."""
    return UnprocessableError(
        *(Fault(pointer + fault.pointer, fault.detail) for fault in wrong.faults)
    )


@contextmanager
def told_below(pointer: str) -> Iterator[None]:
    """Faults of the block are told from where its document lies in the body."""
    try:
        yield
    except UnprocessableError as wrong:
        raise below(pointer, wrong) from wrong


def require_sound(request: Request, snapshot: Snapshot) -> None:
    """Raises UnprocessableError with what is wrong with the request by itself, from its root."""
    # What a request says is checked against the people alone.
    alone = DayBook.model_construct(
        zone=snapshot.salon.zone,
        chairs=snapshot.chairs,
        staff=snapshot.staff,
        open=(),
        shifts=(),
        requests=(request,),
    )
    try:
        cross_check(alone)
    except InputError as wrong:
        asked = [each for each in wrong.faults if each.pointer.startswith("/requests/0")]
        if asked:
            raise UnprocessableError(*from_root(asked)) from wrong


def require_known(request: Request, snapshot: Snapshot) -> None:
    """Raises UnprocessableError for a lead who is not there, or is no lead."""
    staff = {person.id: person for person in snapshot.staff}
    faults = []
    named = [("/required_lead", request.required_lead), ("/preferred_lead", request.preferred_lead)]
    for pointer, name in named:
        if name is None:
            continue
        if name not in staff:
            faults.append(Fault(pointer, f"there is nobody called {name}"))
        elif Role.LEAD not in staff[name].roles:
            faults.append(Fault(pointer, f"{name} is no lead"))
    for number, name in enumerate(request.refused_leads):
        if name not in staff:
            faults.append(Fault(f"/refused_leads/{number}", f"there is nobody called {name}"))
    if faults:
        raise UnprocessableError(*faults)
