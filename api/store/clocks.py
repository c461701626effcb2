"""What was tapped of visits, and requests that found no opening."""

from __future__ import annotations

from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.store.journal import Pen
from api.store.mappers import minute
from api.store.repositories import DocumentTable
from api.store.tables import turned_away, visit_clock
from schemas.visit_clock import VisitClock
from schemas.week_reports import TurnedAwayRecord
from schemas.windows import TimeWindow


class ClockTable(DocumentTable[VisitClock]):
    """Clocks of one salon's visits."""

    def __init__(self, connection: AsyncConnection, salon: str, touch: Pen) -> None:
        super().__init__(
            connection, salon, visit_clock, VisitClock, name=lambda clock: clock.id, touch=touch
        )

    async def of(self, names: Iterable[str]) -> dict[str, VisitClock]:
        columns = visit_clock.c
        query = sa.select(columns.document).where(
            columns.salon_id == self.salon, columns.id.in_(tuple(names))
        )
        return {clock.id: clock for clock in await self.read(query)}


class TurnedAwayTable(DocumentTable[TurnedAwayRecord]):
    """Requests of one salon that found no opening."""

    def __init__(self, connection: AsyncConnection, salon: str, touch: Pen) -> None:
        super().__init__(
            connection,
            salon,
            turned_away,
            TurnedAwayRecord,
            name=lambda record: record.id,
            touch=touch,
            columns=lambda record: {"asked_from": min(minute(w.start) for w in record.windows)},
        )

    async def during(self, window: TimeWindow) -> tuple[TurnedAwayRecord, ...]:
        columns = turned_away.c
        return await self.read(
            sa.select(columns.document)
            .where(
                columns.salon_id == self.salon,
                columns.asked_from >= minute(window.start),
                columns.asked_from < minute(window.end),
            )
            .order_by(columns.id)
        )
