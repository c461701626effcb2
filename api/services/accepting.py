"""Writing a repaired day into the book: visits, promises, breaks, shifts, closures, opening hours.

What the repair proposes to a client is promised to her then. One who has no place any more waits
for another; one who did not come is called off. Rules that the repair bends are not changed: the
findings of the day name what it does not keep.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from uuid import uuid4
from zoneinfo import ZoneInfo

from api.services.day_books import Snapshot
from api.services.errors import ConflictError
from api.services.opening_hours import local_day, window_of
from api.services.ports import UnitOfWork
from api.services.promising import promised, take
from schemas.booking import Booking, BookingStatus, Request
from schemas.daybook import DayBook
from schemas.dealings import BookingRecord
from schemas.plan import Plan
from schemas.repair import RepairResult, WalkIn
from schemas.runs import RepairRecord
from schemas.salon import Closure, Hours, Salon, SpecialDay, minute_of_day
from schemas.windows import TimeWindow
from solver.repair import agreed

_SHARED = tuple(name for name in Booking.model_fields if name in Request.model_fields)
"""What a booking and the request it came from both state."""


async def accept(unit: UnitOfWork, snapshot: Snapshot, repair: RepairRecord, now: datetime) -> None:
    """Put the repaired days on the book, in the transaction of `unit`.

    `snapshot` is the book of these days as it is in that transaction.
    """
    run, book = repair.run, repair.day_book
    if run.status is None or book is None:
        raise ConflictError("the repair is not done yet: there is nothing to accept")
    plan = run.plan or Plan()
    result = RepairResult(
        status=run.status, plan=run.plan, day_book=book, renegotiate=run.renegotiate
    )
    before = {record.id: record for record in snapshot.placed}
    after = [*_bookings(result, before, snapshot.span, now), *_walk_ins(repair, book, plan, now)]
    await _write_facts(unit, snapshot, book)
    await unit.breaks.clear(snapshot.span)
    await unit.bookings.free(before)
    for record in after:
        if record != before.get(record.id):
            await unit.bookings.put(record)
    for record in after:
        if record.placed is not None:
            await take(unit, record.placed, plan.breaks)
    await unit.breaks.add(plan.breaks)


def _bookings(
    result: RepairResult, before: dict[str, BookingRecord], span: TimeWindow, now: datetime
) -> Iterator[BookingRecord]:
    """Every booking of the days as it is once all have agreed."""
    absent = {
        booking.id
        for booking in result.day_book.bookings
        if booking.status is BookingStatus.CANCELLED
    }
    for booking in agreed(result).bookings:
        old = before.get(booking.id) or _the_rest(booking, span, now)
        status = BookingStatus.CONFIRMED
        if booking.placed is None:
            status = BookingStatus.CANCELLED if booking.id in absent else BookingStatus.TENTATIVE
        stated = {name: getattr(booking, name) for name in _SHARED}
        record = old.model_copy(
            update={
                "status": status,
                "request": old.request.model_copy(update=stated),
                "promise": None if status is BookingStatus.TENTATIVE else booking.promise,
                "placed": booking.placed,
            }
        )
        yield record if record == old else record.model_copy(update={"changed_at": now})


def _the_rest(booking: Booking, span: TimeWindow, now: datetime) -> BookingRecord:
    """A record for what is left of a visit that was cut in two: a booking of its own."""
    stated = {name: getattr(booking, name) for name in _SHARED}
    start = booking.promise.start
    window = booking.placed.window if booking.placed else TimeWindow(start=start, end=span.end)
    return BookingRecord(
        id=booking.id,
        status=BookingStatus.TENTATIVE,
        request=Request(**stated, windows=(window,)),
        created_at=now,
        changed_at=now,
    )


def _walk_ins(
    repair: RepairRecord, book: DayBook, plan: Plan, now: datetime
) -> Iterator[BookingRecord]:
    """Those at the door who got a place."""
    placed = {visit.visit: visit for visit in plan.visits}
    asked = {
        event.request.id: event.request
        for event in repair.run.order.events
        if isinstance(event, WalkIn)
    }
    for request in book.requests:
        if request.id in placed:
            yield promised(
                request,
                placed[request.id],
                take_off=asked[request.id].take_off,
                created_at=now,
                now=now,
            )


async def _write_facts(unit: UnitOfWork, snapshot: Snapshot, book: DayBook) -> None:
    """Who is in until when, who may help, which chairs are out, how long the salon is open."""
    shifts = {shift.id: shift for shift in snapshot.shifts}
    for shift in book.shifts:
        known = shifts.pop(shift.id, None)
        if known is None and await unit.shifts.get(shift.id) is not None:
            name = f"{shift.id[:50]}-{uuid4().hex[:8]}"
            await unit.shifts.put(shift.model_copy(update={"id": name}))
        elif known != shift:
            await unit.shifts.put(shift)
    for name in shifts:
        await unit.shifts.remove(name)
    people = {person.id: person for person in snapshot.staff}
    for person in book.staff:
        if person != people[person.id]:
            await unit.staff.put(person)
    # Closures that are new come after those the book had.
    for closure in book.closures[len(snapshot.closures) :]:
        name = f"closure-{uuid4().hex[:16]}"
        stated = {"chair": closure.chair, "window": closure.window, "reason": closure.reason}
        await unit.closures.put(Closure(id=name, **stated))
    salon = snapshot.salon
    for window in book.open:
        salon = _open_until(salon, window)
    if salon != snapshot.salon:
        await unit.put_salon(salon)


def _open_until(salon: Salon, window: TimeWindow) -> Salon:
    """The salon with hours of its own for a day on which it stays open longer."""
    day = local_day(window.start, salon.zone)
    usual = window_of(salon, day)
    if usual is None or window.end <= usual.end:
        return salon
    place = ZoneInfo(salon.zone)
    closes = window.end.astimezone(place)
    late = "24:00" if closes.date() > day else f"{closes:%H:%M}"
    opens = f"{usual.start.astimezone(place):%H:%M}"
    if minute_of_day(late) <= minute_of_day(opens):
        return salon
    others = tuple(each for each in salon.special_days if each.date != day)
    special = SpecialDay(date=day, hours=Hours(opens=opens, closes=late))
    return salon.model_copy(update={"special_days": (*others, special)})
