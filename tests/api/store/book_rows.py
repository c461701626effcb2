"""Bookings of tests, and rows written past the application."""

from __future__ import annotations

from datetime import UTC, datetime

import sqlalchemy as sa

from api.services.promising import promised
from api.store.mappers import minute
from api.store.tables import occupancy
from api.store.unit_of_work import SqlStore
from schemas.booking import BookingStatus
from schemas.dealings import BookingRecord
from tests.builders import a_chair, a_lead, a_placed, a_request, an_assistant, at

NOON = datetime(2026, 11, 30, 12, tzinfo=UTC)


def a_record(name: str, start: str = "9:00", minutes: int = 120, **place: object) -> BookingRecord:
    """A confirmed booking of the lead in chair-1 unless `place` says otherwise."""
    request = a_request(name, minutes)
    placed = a_placed(request, start, **place)  # type: ignore[arg-type]
    return promised(request, placed, take_off=None, created_at=NOON, now=NOON)


def a_waiting_record(name: str, minutes: int = 120) -> BookingRecord:
    return BookingRecord(
        id=name,
        status=BookingStatus.TENTATIVE,
        request=a_request(name, minutes),
        created_at=NOON,
        changed_at=NOON,
    )


async def furnish(store: SqlStore) -> None:
    """Two chairs, two leads, one assistant."""
    async with store.writing() as unit:
        for chair in ("chair-1", "chair-2"):
            await unit.chairs.add(a_chair(chair))
        for person in (a_lead("lead-1"), a_lead("lead-2"), an_assistant()):
            await unit.staff.add(person)


async def write_past(
    store: SqlStore, booking: str, start: str, end: str, resource: str = "chair:chair-1"
) -> None:
    """What a careless script might do: a row straight into the table."""
    async with store.engines.writer.begin() as connection:
        await connection.execute(
            sa.insert(occupancy).values(
                salon_id=store.salon,
                resource=resource,
                booking_id=booking,
                starts_at=minute(at(start)),
                ends_at=minute(at(end)),
            )
        )
