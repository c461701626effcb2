"""What was promised to a client holds.

A confirmed booking is in the plan, starts within its tolerance, has the lead it was promised and
ends by its latest finish. A tentative one may be declined; if it is placed, the same holds. A
cancelled one is absent.
"""

from __future__ import annotations

from collections.abc import Iterator

from schemas.booking import Booking, BookingStatus
from schemas.plan import PlannedVisit
from schemas.rules import RuleSetting
from solver.rules.reading import Reading, minute
from solver.rules.rule import Breach, NoParameters, Rule


def _check(reading: Reading, _: NoParameters, __: RuleSetting) -> Iterator[Breach]:
    declined = set(reading.plan.declined)
    for booking in reading.day_book.bookings:
        places = reading.placed.get(booking.id, [])
        if booking.status is BookingStatus.CANCELLED:
            yield from (_cancelled(reading, booking, planned) for planned in places)
            continue
        if booking.status is BookingStatus.CONFIRMED:
            if booking.id in declined:
                yield _absent(reading, booking, "is declined")
            elif not places:
                yield _absent(reading, booking, "has no place in the plan")
        for planned in places:
            yield from _start(reading, booking, planned)
            yield from _lead(reading, booking, planned)
            yield from _finish(reading, booking, planned)


def _cancelled(reading: Reading, booking: Booking, planned: PlannedVisit) -> Breach:
    start, end = reading.occupied(planned)
    return Breach(
        detail=f"{reading.client(booking.id)} cancelled, and is placed {reading.when(start, end)}.",
        remedy="Take the visit out of the plan.",
        visits=(booking.id,),
        window=reading.window(start, end),
    )


def _absent(reading: Reading, booking: Booking, how: str) -> Breach:
    start = minute(booking.promise.start)
    return Breach(
        detail=f"{reading.client(booking.id)} is promised {reading.at(start)} and {how}.",
        remedy="Place the visit, or agree on another time with the client first.",
        visits=(booking.id,),
    )


def _start(reading: Reading, booking: Booking, planned: PlannedVisit) -> Iterator[Breach]:
    start, end = reading.occupied(planned)
    promised = minute(booking.promise.start)
    moved = abs(start - promised)
    if moved > booking.promise.tolerance:
        yield Breach(
            detail=f"{reading.client(booking.id)} is promised {reading.at(promised)}, give or take "
            f"{booking.promise.tolerance} min, and starts at {reading.at(start)}.",
            remedy=f"Move the start by {moved - booking.promise.tolerance} min or more "
            f"{'later' if start < promised else 'earlier'}, or ask the client.",
            visits=(booking.id,),
            window=reading.window(start, end),
        )


def _lead(reading: Reading, booking: Booking, planned: PlannedVisit) -> Iterator[Breach]:
    promised = booking.promise.lead
    if promised is not None and planned.lead != promised:
        start, end = reading.occupied(planned)
        yield Breach(
            detail=f"{reading.client(booking.id)} is promised {reading.person(promised)} and gets "
            f"{reading.person(planned.lead)}, {reading.when(start, end)}.",
            remedy=f"Give the visit to {reading.person(promised)}, or ask the client.",
            visits=(booking.id,),
            staff=(promised, planned.lead),
            window=reading.window(start, end),
        )


def _finish(reading: Reading, booking: Booking, planned: PlannedVisit) -> Iterator[Breach]:
    if booking.promise.latest_finish is None:
        return
    start, end = reading.occupied(planned)
    latest = minute(booking.promise.latest_finish)
    if end > latest:
        yield Breach(
            detail=f"{reading.client(booking.id)} is promised to be done by {reading.at(latest)} "
            f"and is done at {reading.at(end)}.",
            remedy=f"Finish {end - latest} min earlier: start earlier, or add an assistant.",
            visits=(booking.id,),
            window=reading.window(start, end),
        )


RULE = Rule(
    code="promise-kept",
    sentence="Every confirmed booking keeps its start, its lead and its latest finish.",
    parameters=NoParameters,
    check=_check,
    always_hard=True,
)
