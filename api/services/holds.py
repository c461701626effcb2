"""Holds: a place kept for one client for some minutes, then hers or free again.

A hold takes of the salon what its booking will take, so nobody else is offered or sold any of it.
Whether its time is over is judged by the clock at every reading and every writing; no work in the
background is relied on.
"""

from __future__ import annotations

import asyncio
from datetime import timedelta
from uuid import uuid4

from api.services.asking import below, local_request, reckoned, require_known
from api.services.day_books import read_snapshot
from api.services.errors import (
    AlreadyThereError,
    ConflictError,
    DoubleBookedError,
    NotFoundError,
    UnprocessableError,
)
from api.services.opening_hours import local_day
from api.services.ports import Store, UnitOfWork, Versioned
from api.services.promising import hold, objections, promised, take
from api.services.salon import salon_of
from api.services.selling import Selling, again, require_new, require_unchanged
from schemas.booking import BookingStatus, Request
from schemas.dealings import BookingRecord
from schemas.holds import Hold, NewHold
from schemas.openings import Opening
from schemas.waiting import NewOffer, OfferState, PlaceOffer
from solver.errors import Fault


class Holds:
    def __init__(self, store: Store, selling: Selling) -> None:
        self.store = store
        self.selling = selling

    async def page(self, after: str | None, limit: int) -> tuple[tuple[Hold, ...], str | None]:
        """Those in force, in order of their names."""
        async with self.store.reading() as unit:
            found = await unit.holds.page(after=after, limit=limit + 1)
        return found[:limit], found[limit - 1].id if len(found) > limit else None

    async def read(self, name: str) -> Hold:
        """Raises NotFoundError where there is none, or its time is over."""
        async with self.store.reading() as unit:
            return await _there(unit, name)

    async def create(self, new: NewHold) -> Hold:
        """Hold the opening. Raises OpeningGoneError with fresh ones where it cannot be had,
        AlreadyThereError where a booking or a hold has the name of the visit.
        """
        return await again(lambda: self._hold(new.request, new.opening, new.minutes))

    async def offer(self, name: str, new: NewOffer) -> Hold:
        """Hold the opening for somebody who waits, and write down that she was offered it.

        Raises as `create`, NotFoundError where nobody of that name is on record and ConflictError
        where she does not wait.
        """
        if new.opening.visit.visit != name:
            raise UnprocessableError(Fault("/opening/visit/visit", f"must be {name}"))
        async with self.store.reading() as unit:
            waits = await _waiting(unit, name)
        asked = waits.request
        return await again(lambda: self._hold(asked, new.opening, new.minutes, waits=True))

    async def release(self, name: str) -> None:
        """Let the place go. Who was offered it has declined, and waits on where she was."""
        async with self.store.writing() as unit:
            await _there(unit, name)
            await unit.holds.remove(name)
            await _answer(unit, name, OfferState.DECLINED)

    async def book(self, name: str, client: str | None = None) -> Versioned[BookingRecord]:
        """Promise the place that is held, to `client` where her name was not known before.

        Raises NotFoundError where it is not held any more, OpeningGoneError with fresh openings
        where the book has changed so that it cannot be had; the hold then stays until its time.
        """
        return await again(lambda: self._book(name, client))

    async def _hold(
        self, asked: Request, opening: Opening, minutes: int, *, waits: bool = False
    ) -> Hold:
        snapshot = await self.selling.day_of(opening, new=None if waits else asked.id)
        request = local_request(asked, snapshot.salon.zone)
        try:
            require_known(request, snapshot)
            request = await asyncio.to_thread(reckoned, request, snapshot)
        except UnprocessableError as wrong:
            raise below("/request", wrong) from wrong
        await self.selling.require_holds(snapshot, request, opening)
        try:
            async with self.store.writing() as unit:
                require_unchanged(unit, snapshot)
                held = Hold(
                    id=request.id,
                    request=request,
                    take_off=asked.take_off,
                    opening=opening,
                    held_at=unit.now,
                    until=unit.now + timedelta(minutes=minutes),
                )
                if waits:
                    await _waiting(unit, held.id)
                    await unit.offers.put(_offer_of(held))
                else:
                    await require_new(unit, held.id)
                await hold(unit, snapshot, held)
        except DoubleBookedError:
            await self.selling.refuse(request, "it is taken")
        return held

    async def _book(self, name: str, client: str | None) -> Versioned[BookingRecord]:
        async with self.store.reading() as unit:
            held = await _there(unit, name)
            visit = held.opening.visit
            zone = (await salon_of(unit)).zone
            day = local_day(visit.window.start, zone)
            snapshot = await read_snapshot(unit, day, day)
        crew = {visit.lead, *visit.assistants}
        # Other sales may have moved the crew's breaks since: they count as they are now.
        breaks = tuple(
            each
            for each in snapshot.breaks
            if each.staff in crew and snapshot.span.contains(each.window)
        )
        opening = held.opening.model_copy(update={"breaks": breaks})
        why = await asyncio.to_thread(objections, snapshot.without((name,)), held.request, opening)
        if why:
            await self.selling.refuse(held.request, why[0])
        async with self.store.writing() as unit:
            require_unchanged(unit, snapshot)
            await _there(unit, name)
            before = await unit.bookings.get(name)
            named = {} if client is None else {"client": client}
            record = promised(
                held.request.model_copy(update=named),
                visit,
                take_off=held.take_off if before is None else before.document.take_off,
                created_at=unit.now if before is None else before.document.created_at,
                now=unit.now,
                latest_finish=visit.window.end,
            )
            await unit.holds.remove(name)
            version = await unit.bookings.put(record)
            await take(unit, visit, breaks)
            await unit.breaks.add(tuple(each for each in breaks if each.inside == name))
            await _answer(unit, name, OfferState.ACCEPTED)
        return Versioned(record, version)


async def _there(unit: UnitOfWork, name: str) -> Hold:
    found = await unit.holds.get(name)
    if found is None:
        raise NotFoundError("hold", f"{name}: there was none, or its time is over")
    return found


async def _waiting(unit: UnitOfWork, name: str) -> BookingRecord:
    """Raises where nobody of that name waits for a place."""
    found = await unit.bookings.get(name)
    if found is None:
        raise NotFoundError("booking", name)
    if found.document.status is not BookingStatus.TENTATIVE:
        raise ConflictError(f"{name} does not wait for a place")
    if await unit.holds.get(name) is not None:
        raise AlreadyThereError(f"{name} holds a place: book that, or let it go first")
    return found.document


def _offer_of(held: Hold) -> PlaceOffer:
    opening = held.opening
    return PlaceOffer(
        id=f"offer-{uuid4().hex[:16]}",
        visit=held.id,
        start=opening.start,
        finish=opening.finish,
        chair=opening.chair,
        lead=opening.lead,
        offered_at=held.held_at,
        until=held.until,
    )


async def _answer(unit: UnitOfWork, name: str, state: OfferState) -> None:
    """Write down how the offer that is open was answered."""
    for offer in await unit.offers.of(name):
        if offer.state is OfferState.OPEN and unit.now < offer.until:
            await unit.offers.put(offer.model_copy(update={"state": state}))
