"""What happened, worked into the situation: first who is not there, then what takes longer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from schemas.repair import (
    BrokenChair,
    Event,
    LateArrival,
    NoShow,
    Overrun,
    SickPerson,
    WalkIn,
)
from solver.errors import DayBookError, Fault
from solver.repair.chairs import chair_breaks
from solver.repair.clients import comes_late, comes_not, takes_longer, walks_in
from solver.repair.sickness import falls_sick
from solver.repair.situation import Situation

ORDER = (NoShow, LateArrival, Overrun, BrokenChair, SickPerson, WalkIn)


def happen(situation: Situation, events: Sequence[Event]) -> None:
    """Work all events in. Raises DayBookError, a fault for each event that makes no sense."""
    faults = [
        Fault(f"/events/{index}/{field}", detail)
        for index, event in enumerate(events)
        for field, detail in _faults(situation, event)
    ]
    if faults:
        raise DayBookError(*faults)
    for index, event in sorted(enumerate(events), key=lambda pair: ORDER.index(type(pair[1]))):
        _happen(situation, event, index)


def _faults(situation: Situation, event: Event) -> Iterator[tuple[str, str]]:
    book = situation.book
    match event:
        case LateArrival() | NoShow() | Overrun():
            if event.visit not in situation.placed:
                yield "visit", f"{event.visit} has no place in the plan"
        case SickPerson():
            if all(person.id != event.staff for person in book.staff):
                yield "staff", f"there is nobody of the id {event.staff}"
        case BrokenChair():
            if all(chair.id != event.chair for chair in book.chairs):
                yield "chair", f"there is no chair {event.chair}"
        case WalkIn():
            known = {visit.id for visit in (*book.bookings, *book.requests)}
            if event.request.id in known:
                yield "request/id", f"there is a visit {event.request.id} already"
            if not event.request.phases:
                yield "request/phases", "state the work in phases before planning"
    if (
        isinstance(event, SickPerson | BrokenChair)
        and event.until is not None
        and event.until <= event.start
    ):
        yield "until", "must be after start"


def _happen(situation: Situation, event: Event, index: int) -> None:
    match event:
        case NoShow():
            if event.visit in situation.placed:
                comes_not(situation, event.visit)
        case LateArrival():
            if event.visit in situation.placed:
                comes_late(situation, event.visit, event.arrives)
        case Overrun():
            if event.visit in situation.placed:
                takes_longer(situation, event, f"/events/{index}")
        case BrokenChair():
            chair_breaks(situation, event)
        case SickPerson():
            falls_sick(situation, event)
        case WalkIn():
            walks_in(situation, event.request)
