"""What the crew of a visit taps: when it began, the first braid, the last braid, and the end.

Once the first braid, the last braid and the end are told, the visit is written down among the
lead's finished visits, and her pace is learned from it.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from math import fsum

from pydantic import ValidationError

from api.clock import Clock
from api.services.errors import ConflictError, NotFoundError, UnprocessableError
from api.services.opening_hours import local_day
from api.services.own_day import require_own_visit
from api.services.ports import Store, UnitOfWork
from api.services.salon import salon_of
from schemas.booking import BookingStatus
from schemas.dealings import BookingRecord
from schemas.finished import FinishedVisitRecord
from schemas.plan import PlannedVisit
from schemas.resources import StaffMember
from schemas.visit_clock import Moment, Tap, VisitClock
from schemas.windows import TimeWindow
from schemas.work import BRAIDING
from solver.errors import Fault

FROM_THE_CLOCK = "From the clock of the visit."
"""The note of a finished visit that was not written down by hand."""


class VisitClocks:
    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock

    async def read(self, booking: str) -> VisitClock:
        """What was tapped so far; nothing where nothing was. Raises NotFoundError."""
        async with self.store.reading() as unit:
            record = await _visit(unit, booking)
            return await _clock(unit, record.id)

    async def tap(self, booking: str, moment: Moment, tap: Tap) -> VisitClock:
        """A moment, now unless told otherwise; told again, the later word counts.

        Raises UnprocessableError where the moments would not follow each other.
        """
        at = tap.at or _on_the_minute(self.clock.now())
        async with self.store.writing() as unit:
            record = await _visit(unit, booking)
            if record.status is not BookingStatus.CONFIRMED:
                raise ConflictError("only a confirmed booking with a place is clocked")
            if at > self.clock.now():
                raise UnprocessableError(Fault("/at", "is still to come"))
            told = (await _clock(unit, booking)).model_dump() | {moment.value: at}
            return await self._keep(unit, record, told)

    async def untap(self, booking: str, moment: Moment) -> VisitClock:
        """Take back a moment that was tapped by mistake."""
        async with self.store.writing() as unit:
            record = await _visit(unit, booking)
            told = (await _clock(unit, booking)).model_dump() | {moment.value: None}
            return await self._keep(unit, record, told)

    async def _keep(
        self, unit: UnitOfWork, record: BookingRecord, told: dict[str, object]
    ) -> VisitClock:
        try:
            clock = VisitClock.model_validate(told)
        except ValidationError as wrong:
            words = wrong.errors(include_url=False)[0]["msg"].removeprefix("Value error, ")
            raise UnprocessableError(Fault("/at", words)) from wrong
        await unit.clocks.put(clock)
        await _learn(unit, record, clock)
        return clock


def _on_the_minute(now: datetime) -> datetime:
    return now - timedelta(seconds=now.second, microseconds=now.microsecond)


async def _visit(unit: UnitOfWork, booking: str) -> BookingRecord:
    found = await unit.bookings.get(booking)
    if found is None:
        raise NotFoundError("booking", booking)
    require_own_visit(found.document)
    return found.document


async def _clock(unit: UnitOfWork, booking: str) -> VisitClock:
    found = await unit.clocks.get(booking)
    return VisitClock(id=booking) if found is None else found.document


async def _learn(unit: UnitOfWork, record: BookingRecord, clock: VisitClock) -> None:
    """Write the visit down among the lead's finished ones, in place of what the clock said before.

    A visit that somebody wrote down by hand stays as it is.
    """
    placed = record.placed
    if placed is None:
        return
    for old in await unit.finished.of(placed.lead):
        if old.booking != record.id:
            continue
        if old.note != FROM_THE_CLOCK:
            return
        await unit.finished.remove(placed.lead, old.id)
    finished = await _finished(unit, record, placed, clock)
    if finished is not None:
        await unit.finished.add(placed.lead, finished)


async def _finished(
    unit: UnitOfWork, record: BookingRecord, placed: PlannedVisit, clock: VisitClock
) -> FinishedVisitRecord | None:
    if (
        record.take_off is None
        or clock.braiding is None
        or clock.braided is None
        or clock.finished is None
        or clock.braided <= clock.braiding
    ):
        return None
    booked = sum(phase.minutes for phase in record.request.phases if phase.kind == BRAIDING)
    braiding = TimeWindow(start=clock.braiding, end=clock.braided)
    breaks = sum(
        _common(braiding, each.window)
        for each in await unit.breaks.during(braiding)
        if each.staff == placed.lead
    )
    people = {person.id: person for person in await unit.staff.all()}
    helped = _helped(placed, braiding, people)
    help_minutes = sum(minutes for minutes, _ in helped)
    if not booked or breaks >= braiding.minutes:
        return None
    rate = fsum(minutes * each for minutes, each in helped) / help_minutes if help_minutes else 0.5
    return FinishedVisitRecord(
        id=record.id,
        day=local_day(clock.braiding, (await salon_of(unit)).zone),
        technique=record.take_off.style.technique,
        booked=booked,
        percentile=record.take_off.percentile,
        actual=braiding.minutes,
        breaks=breaks,
        help_minutes=help_minutes,
        help_rate=rate,
        booking=record.id,
        note=FROM_THE_CLOCK,
    )


def _helped(
    placed: PlannedVisit, braiding: TimeWindow, people: dict[str, StaffMember]
) -> list[tuple[int, float]]:
    """Minutes of help inside the braiding as it came about, each with its worth.

    Nobody taps help: it is taken from the plan, cut to the braiding, moved along with its start.
    """
    planned = next((each for each in placed.phases if each.kind == BRAIDING), None)
    if planned is None:
        return []
    late = braiding.start - planned.window.start
    return [
        (
            _common(
                braiding, TimeWindow(start=help_.window.start + late, end=help_.window.end + late)
            ),
            people[help_.staff].help_rate if help_.staff in people else 0.5,
        )
        for help_ in planned.help
    ]


def _common(one: TimeWindow, other: TimeWindow) -> int:
    start, end = max(one.start, other.start), min(one.end, other.end)
    return round((end - start).total_seconds() / 60) if end > start else 0
