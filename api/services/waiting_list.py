"""The waiting list: bookings that have no place yet, in fair order, and who could take a gap.

Who asked first comes first, by the minute in which she asked; of two who asked in one minute, the
lesser name. Nothing else counts: who was offered a place and declined, or did not answer, keeps
hers.
"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from datetime import date, datetime, timedelta

from api.clock import Clock
from api.services.asking import in_local_time, upcoming
from api.services.day_books import Snapshot, days_of, read_snapshot
from api.services.errors import ConflictError, NotFoundError, UnprocessableError
from api.services.opening_hours import local_day
from api.services.ports import Store, UnitOfWork
from api.services.promising import promised
from api.services.salon import salon_of
from schemas.booking import Booking
from schemas.dealings import BookingRecord
from schemas.openings import GapQuestion, GapTakers, Waiting
from schemas.plan import PlannedVisit
from schemas.waiting import OfferState, PlaceOffer, WaitingEntry, WaitingList
from schemas.windows import TimeWindow
from solver.openings import gap_takers

AHEAD = timedelta(days=3 * 366)
"""How far ahead those who wait may want to come."""
MOST_ASKED = 200
"""Who could take a gap is asked of so many, from the head of the list."""
MOST_HOLDS = 10_000
AROUND = 30
"""Days before and after a gap in which another place for those who wait is looked for."""


class WaitingLists:
    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock

    async def read(self, limit: int) -> WaitingList:
        """Who waits for a place that is still to come, each with the reason for where she is."""
        async with self.store.reading() as unit:
            zone = (await salon_of(unit)).zone
            waiting = await _in_order(unit, zone, self.clock.now())
            items = []
            before: Waiting | None = None
            for number, each in enumerate(waiting[:limit], 1):
                offers = await unit.offers.of(each.request.id)
                items.append(_entry(number, each, before, _as_of(offers, unit.now)))
                before = each
        return WaitingList(items=tuple(items), total=len(waiting))

    async def takers(self, freed: str) -> GapTakers:
        """Who could take the place of a booking, in fair order.

        Who holds a place already is not asked. Raises NotFoundError, and ConflictError where the
        booking has no place, its place is in the past or nobody waits.
        """
        now = self.clock.now()
        async with self.store.reading() as unit:
            found = await unit.bookings.get(freed)
            if found is None:
                raise NotFoundError("booking", freed)
            visit = found.document.placed or found.document.freed
            if visit is None:
                raise ConflictError(f"{freed} has no place that it could leave")
            if visit.window.end <= now:
                raise ConflictError(f"the place of {freed} is in the past")
            zone = (await salon_of(unit)).zone
            day = local_day(visit.window.start, zone)
            holds = await unit.holds.page(after=None, limit=MOST_HOLDS)
            passed = {freed, *(held.id for held in holds)}
            asked = [
                each for each in await _in_order(unit, zone, now) if each.request.id not in passed
            ]
            if not asked:
                raise ConflictError("nobody waits for a place")
            first, last = _days(asked[:MOST_ASKED], day, zone)
            snapshot = await read_snapshot(unit, max(first, local_day(now, zone)), last)
        waiting = _looked_at(asked[:MOST_ASKED], snapshot)
        return await asyncio.to_thread(_takers, snapshot, found.document, visit, waiting)


async def _in_order(unit: UnitOfWork, zone: str, now: datetime) -> list[Waiting]:
    ahead = TimeWindow(start=now.replace(second=0, microsecond=0), end=_minute(now + AHEAD))
    found = []
    for record in await unit.bookings.waiting(ahead):
        try:
            request = upcoming(record.request, now, "/windows")
        except UnprocessableError:
            continue  # What is left of her windows is less than a minute.
        since = in_local_time(_minute(record.created_at), zone)
        found.append(Waiting(request=request, since=since))
    return sorted(found, key=lambda each: (each.since, each.request.id))


def _minute(instant: datetime) -> datetime:
    return instant.replace(second=0, microsecond=0)


def _entry(
    number: int, waiting: Waiting, before: Waiting | None, offers: tuple[PlaceOffer, ...]
) -> WaitingEntry:
    return WaitingEntry(
        place=number,
        visit=waiting.request.id,
        since=waiting.since,
        request=waiting.request,
        offers=offers,
        why=_why(waiting, before, offers),
    )


def _why(waiting: Waiting, before: Waiting | None, offers: Sequence[PlaceOffer]) -> str:
    asked = f"asked on {waiting.since:%Y-%m-%d at %H:%M}"
    if before is None:
        told = f"{asked}, before all others"
    elif before.since == waiting.since:
        told = f"{asked}, as {before.request.id} did; the order of their names decides"
    else:
        later = round((waiting.since - before.since).total_seconds()) // 60
        told = f"{asked}, {later} minutes after {before.request.id}"
    passed = sum(each.state in {OfferState.DECLINED, OfferState.LAPSED} for each in offers)
    if passed:
        told += f"; passed over {passed} offer{'s' if passed > 1 else ''}, which costs her nothing"
    return told


def _as_of(offers: Sequence[PlaceOffer], now: datetime) -> tuple[PlaceOffer, ...]:
    """What was not answered in time has lapsed."""
    return tuple(
        each.model_copy(update={"state": OfferState.LAPSED})
        if each.state is OfferState.OPEN and each.until <= now
        else each
        for each in offers
    )


def _days(waiting: Sequence[Waiting], day: date, zone: str) -> tuple[date, date]:
    """The days on which they would like to come, as far as they lie around the gap's."""
    spans = [days_of(each.request, zone) for each in waiting]
    around = timedelta(days=AROUND)
    first = max(min(first for first, _ in spans), day - around)
    last = min(max(last for _, last in spans), day + around)
    return min(first, day), max(last, day)


def _looked_at(waiting: Sequence[Waiting], snapshot: Snapshot) -> tuple[Waiting, ...]:
    """Those who would like to come on these days, held to them."""
    span, found = snapshot.span, []
    for each in waiting:
        windows = tuple(window for window in each.request.windows if window.overlaps(span))
        if windows:
            request = each.request.model_copy(update={"windows": windows})
            found.append(each.model_copy(update={"request": request}))
    return tuple(found)


def _takers(
    snapshot: Snapshot, record: BookingRecord, visit: PlannedVisit, waiting: tuple[Waiting, ...]
) -> GapTakers:
    if not waiting:
        gap = visit.window
        return GapTakers(freed=record.id, gap=gap, takers=(), without_place=())
    book = snapshot.sound_day_book()
    if record.placed is None:
        gone = _as_it_was(record, visit)
        book = book.model_copy(update={"bookings": (*book.bookings, gone)})
    return gap_takers(book, GapQuestion(freed=record.id, waiting=waiting))


def _as_it_was(record: BookingRecord, visit: PlannedVisit) -> Booking:
    """A booking that was called off, with the place it had."""
    had = promised(
        record.request, visit, take_off=None, created_at=record.created_at, now=record.changed_at
    )
    return had.model_copy(update={"status": record.status}).as_booking()
