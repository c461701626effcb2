"""Personal data of clients: what is kept of one is told, or erased.

A client is her name, exactly as it was written down: there is nothing else to know her by.
"""

from __future__ import annotations

from datetime import timedelta
from secrets import token_hex

from api.clock import Clock
from api.services.day_books import forget_bookings
from api.services.errors import ConflictError, NotFoundError
from api.services.personal import ERASED
from api.services.ports import Store, UnitOfWork
from schemas.booking import BookingStatus
from schemas.changes import Change
from schemas.clients import ClientErasure, ClientExport
from schemas.dealings import BookingRecord

MOST_CHANGES = 500
"""Read at a time."""


class Clients:
    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock

    async def export(self, client: str) -> ClientExport:
        """Raises NotFoundError where nothing is kept under that name."""
        async with self.store.reading() as unit:
            bookings = await unit.clients.bookings(client)
            changes = await _changes(unit, client)
        if not bookings and not changes:
            raise NotFoundError("client", "of that name, written exactly so")
        return ClientExport(
            client=client,
            at=self.clock.now(),
            bookings=bookings,
            changes=changes,
            other_names=_other_names(changes, client),
        )

    async def erase(self, client: str) -> ClientErasure:
        """Raises ConflictError while she is expected, NotFoundError where there is nothing."""
        now = self.clock.now()
        async with self.store.writing() as unit:
            bookings = await unit.clients.bookings(client)
            changes = await _changes(unit, client)
            if not bookings and not changes:
                raise NotFoundError("client", "of that name, written exactly so")
            held = {await unit.holds.get(each.name) for each in changes if each.kind == "hold"}
            expected = [record.id for record in bookings if _is_ahead(record, unit)]
            expected += [hold.id for hold in held if hold is not None]
            if expected:
                raise ConflictError(f"she is expected: call {', '.join(expected[:5])} off first")
            name = token_hex(4)
            erased = await unit.clients.erase(client, name, now)
        await self.store.scrub()
        forget_bookings()
        return ClientErasure(
            id=name,
            at=now,
            client=ERASED + name,
            bookings=erased.bookings,
            changes=erased.changes,
            other_names=_other_names(changes, client),
        )

    async def forget_silent(self, days: int) -> int:
        """Erase everybody of whom nothing was heard for so many days; how many there were."""
        since = self.clock.now() - timedelta(days=days)
        async with self.store.reading() as unit:
            silent = await unit.clients.silent_since(since)
        for client in silent:
            async with self.store.writing() as unit:
                # She may have come back meanwhile.
                if client in await unit.clients.silent_since(since):
                    await unit.clients.erase(client, token_hex(4), self.clock.now())
        if silent:
            await self.store.scrub()
            forget_bookings()
        return len(silent)


async def _changes(unit: UnitOfWork, client: str) -> tuple[Change, ...]:
    found: list[Change] = []
    for kind, name in await unit.clients.things(client):
        after = None
        while True:
            page = await unit.changes.page(
                kind=kind, name=name, who=None, window=None, after=after, limit=MOST_CHANGES
            )
            found += page
            if len(page) < MOST_CHANGES:
                break
            after = int(page[-1].id)
    return tuple(sorted(found, key=lambda told: -int(told.id)))


def _is_ahead(record: BookingRecord, unit: UnitOfWork) -> bool:
    if record.status is BookingStatus.CANCELLED:
        return False
    if record.placed is not None:
        return record.placed.window.end > unit.now
    return any(window.end > unit.now for window in record.request.windows)


def _other_names(changes: tuple[Change, ...], client: str) -> tuple[str, ...]:
    names = {
        document["request"]["client"]
        for told in changes
        for document in (told.before, told.after)
        if document is not None and "request" in document
    }
    return tuple(sorted(name for name in names - {client} if not name.startswith(ERASED)))
