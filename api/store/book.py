"""The book: bookings, what they take of the salon, and breaks.

`occupancy` has a row for every stretch that a chair, a basin or a person is taken; the database
refuses two that overlap. A change that moves several visits frees all of them before it takes
anything, within one transaction, so two visits may swap.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.services.ports import Occupied, Versioned
from api.store.mappers import (
    as_text,
    booking_columns,
    bounds,
    break_columns,
    from_json,
    from_text,
    minute,
    to_json,
)
from api.store.repositories import DocumentTable, Touch
from api.store.tables import booking, occupancy, staff_break
from schemas.booking import BookingStatus
from schemas.dealings import BookingRecord
from schemas.plan import PlannedBreak
from schemas.windows import TimeWindow


class BookingTable:
    """Bookings of one salon."""

    def __init__(self, connection: AsyncConnection, salon: str, touch: Touch) -> None:
        self.connection = connection
        self.salon = salon
        self.touch = touch
        self.documents = DocumentTable(
            connection,
            salon,
            booking,
            BookingRecord,
            name=lambda record: record.id,
            touch=touch,
            columns=booking_columns,
        )

    async def get(self, name: str) -> Versioned[BookingRecord] | None:
        return await self.documents.get(name)

    async def add(self, record: BookingRecord) -> None:
        await self.documents.add(record)

    async def put(self, record: BookingRecord) -> int:
        return await self.documents.put(record)

    async def page(
        self,
        *,
        window: TimeWindow | None,
        status: BookingStatus | None,
        after: str | None,
        limit: int,
    ) -> tuple[BookingRecord, ...]:
        query = sa.select(booking.c.document).where(booking.c.salon_id == self.salon)
        if window is not None:
            # One that has no place counts on every day it would like to come.
            starts = sa.func.coalesce(booking.c.starts_at, booking.c.asked_from)
            ends = sa.func.coalesce(booking.c.ends_at, booking.c.asked_to)
            query = query.where(starts < minute(window.end), ends > minute(window.start))
        if status is not None:
            query = query.where(booking.c.status == status.value)
        if after is not None:
            query = query.where(booking.c.id > after)
        return await self.documents.read(query.order_by(booking.c.id).limit(limit))

    async def versions(self, window: TimeWindow) -> tuple[Versioned[BookingRecord], ...]:
        starts = sa.func.coalesce(booking.c.starts_at, booking.c.asked_from)
        ends = sa.func.coalesce(booking.c.ends_at, booking.c.asked_to)
        found = await self.connection.execute(
            sa.select(booking.c.document, booking.c.version)
            .where(
                booking.c.salon_id == self.salon,
                booking.c.status != BookingStatus.TENTATIVE.value,
                starts < minute(window.end),
                ends > minute(window.start),
            )
            .order_by(booking.c.id)
        )
        return tuple(Versioned(from_json(BookingRecord, row[0]), row[1]) for row in found)

    async def placed(self, window: TimeWindow) -> tuple[BookingRecord, ...]:
        return await self.documents.read(
            sa.select(booking.c.document)
            .where(
                booking.c.salon_id == self.salon,
                booking.c.starts_at < minute(window.end),
                booking.c.ends_at > minute(window.start),
            )
            .order_by(booking.c.starts_at, booking.c.id)
        )

    async def waiting(self, window: TimeWindow) -> tuple[BookingRecord, ...]:
        return await self.documents.read(
            sa.select(booking.c.document)
            .where(
                booking.c.salon_id == self.salon,
                booking.c.status == BookingStatus.TENTATIVE.value,
                booking.c.asked_from < minute(window.end),
                booking.c.asked_to > minute(window.start),
            )
            .order_by(booking.c.id)
        )

    async def next_start(self, instant: datetime) -> datetime | None:
        found = await self.connection.scalar(
            sa.select(sa.func.min(booking.c.starts_at)).where(
                booking.c.salon_id == self.salon, booking.c.starts_at >= minute(instant)
            )
        )
        return None if found is None else datetime.fromtimestamp(60 * found, UTC)

    async def free(self, names: Iterable[str]) -> None:
        self.touch()
        for name in names:
            await self.connection.execute(
                sa.delete(occupancy).where(
                    occupancy.c.salon_id == self.salon, occupancy.c.booking_id == name
                )
            )

    async def occupy(self, name: str, rows: Sequence[Occupied]) -> None:
        self.touch()
        if not rows:
            return
        await self.connection.execute(
            sa.insert(occupancy),
            [
                {
                    "salon_id": self.salon,
                    "resource": row.resource,
                    "booking_id": name,
                    **bounds(row.window),
                }
                for row in rows
            ],
        )


class BreakTable:
    """Breaks of one salon's people. A break takes its person as a visit does."""

    def __init__(self, connection: AsyncConnection, salon: str, touch: Touch) -> None:
        self.connection = connection
        self.salon = salon
        self.touch = touch

    async def during(self, window: TimeWindow) -> tuple[PlannedBreak, ...]:
        found = await self.connection.execute(
            sa.select(as_text(staff_break.c.document))
            .where(
                staff_break.c.salon_id == self.salon,
                staff_break.c.starts_at < minute(window.end),
                staff_break.c.ends_at > minute(window.start),
            )
            .order_by(staff_break.c.starts_at, staff_break.c.staff_id)
        )
        return tuple(from_text(PlannedBreak, text) for text in found.scalars())

    async def clear(self, window: TimeWindow, staff: Iterable[str] | None = None) -> None:
        self.touch()
        query = sa.delete(staff_break).where(
            staff_break.c.salon_id == self.salon,
            staff_break.c.starts_at >= minute(window.start),
            staff_break.c.starts_at < minute(window.end),
        )
        if staff is not None:
            query = query.where(staff_break.c.staff_id.in_(tuple(staff)))
        await self._withdraw(query)

    async def clear_inside(self, visit: str) -> None:
        self.touch()
        await self._withdraw(
            sa.delete(staff_break).where(
                staff_break.c.salon_id == self.salon, staff_break.c.inside == visit
            )
        )

    async def add(self, breaks: Sequence[PlannedBreak]) -> None:
        self.touch()
        for planned in breaks:
            written = await self.connection.execute(
                sa.insert(staff_break)
                .values(salon_id=self.salon, **break_columns(planned))
                .returning(staff_break.c.id)
            )
            await self.connection.execute(
                sa.insert(occupancy).values(
                    salon_id=self.salon,
                    resource=f"staff:{planned.staff}",
                    break_id=written.scalar_one(),
                    **bounds(planned.window),
                )
            )
            self.touch.tell(staff_break, _name(planned), None, to_json(planned))

    async def _withdraw(self, query: sa.Delete) -> None:
        gone = await self.connection.execute(query.returning(staff_break.c.document))
        for stored in gone.scalars():
            planned = from_json(PlannedBreak, stored)
            self.touch.tell(staff_break, _name(planned), to_json(planned), None)


def _name(planned: PlannedBreak) -> str:
    """What the record calls a break."""
    return f"{planned.staff}/{minute(planned.window.start)}"
