"""Holds and what they take of the salon, and offers to those who wait.

What a hold takes is in `occupancy` beside what bookings take, so the database refuses a hold and a
booking on one chair. It goes with its hold: the row of the hold is all there is to delete.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.services.ports import Occupied
from api.store.mappers import bounds, minute
from api.store.repositories import DocumentTable, Touch
from api.store.tables import hold, occupancy, waiting_offer
from schemas.holds import Hold
from schemas.waiting import PlaceOffer
from schemas.windows import TimeWindow


def _second(instant: datetime) -> int:
    """Whole seconds since 1970 in UTC, rounded up: no place is let go too soon."""
    return -int(-instant.astimezone(UTC).timestamp() // 1)


class HoldTable:
    """Holds of one salon that are in force at `now`."""

    def __init__(
        self, connection: AsyncConnection, salon: str, now: datetime, touch: Touch
    ) -> None:
        self.connection = connection
        self.salon = salon
        self.now = now
        self.touch = touch
        self.documents = DocumentTable(
            connection,
            salon,
            hold,
            Hold,
            name=lambda held: held.id,
            touch=touch,
            columns=lambda held: {
                **bounds(held.opening.visit.window),
                "expires_at": _second(held.until),
            },
        )

    async def get(self, name: str) -> Hold | None:
        found = await self.documents.get(name)
        return None if found is None or not found.document.holds_at(self.now) else found.document

    async def during(self, window: TimeWindow) -> tuple[Hold, ...]:
        found = await self.documents.read(
            sa.select(hold.c.document)
            .where(
                hold.c.salon_id == self.salon,
                hold.c.starts_at < minute(window.end),
                hold.c.ends_at > minute(window.start),
            )
            .order_by(hold.c.starts_at, hold.c.id)
        )
        return tuple(each for each in found if each.holds_at(self.now))

    async def page(self, *, after: str | None, limit: int) -> tuple[Hold, ...]:
        query = sa.select(hold.c.document).where(hold.c.salon_id == self.salon)
        if after is not None:
            query = query.where(hold.c.id > after)
        found = await self.documents.read(query.order_by(hold.c.id))
        return tuple(each for each in found if each.holds_at(self.now))[:limit]

    async def add(self, held: Hold, rows: Sequence[Occupied]) -> None:
        await self.documents.add(held)
        await self.connection.execute(
            sa.insert(occupancy),
            [
                {
                    "salon_id": self.salon,
                    "resource": row.resource,
                    "hold_id": held.id,
                    **bounds(row.window),
                }
                for row in rows
            ],
        )

    async def remove(self, name: str) -> bool:
        return await self.documents.remove(name)

    async def let_go(self) -> bool:
        """Remove those whose time is over; whether there was one, which counts as a change."""
        gone = await self.connection.execute(
            sa.delete(hold)
            .where(hold.c.salon_id == self.salon, hold.c.expires_at <= int(self.now.timestamp()))
            .returning(hold.c.id, hold.c.document)
        )
        over = gone.all()
        for name, document in over:
            self.touch()
            self.touch.tell(hold, name, document, None)
        return bool(over)


class OfferTable:
    """Offers of one salon to those who wait."""

    def __init__(self, connection: AsyncConnection, salon: str, touch: Touch) -> None:
        self.salon = salon
        self.documents = DocumentTable(
            connection,
            salon,
            waiting_offer,
            PlaceOffer,
            name=lambda offer: offer.id,
            touch=touch,
            columns=lambda offer: {"visit_id": offer.visit},
        )

    async def put(self, offer: PlaceOffer) -> None:
        await self.documents.put(offer)

    async def of(self, visit: str) -> tuple[PlaceOffer, ...]:
        """In the order in which they were made."""
        found = await self.documents.read(
            sa.select(waiting_offer.c.document).where(
                waiting_offer.c.salon_id == self.salon, waiting_offer.c.visit_id == visit
            )
        )
        return tuple(sorted(found, key=lambda offer: (offer.offered_at, offer.id)))
