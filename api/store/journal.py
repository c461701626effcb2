"""The record of changes: what one transaction changes, written at its end into the same one.

Every table of documents tells its changes to the pen of its unit of work, so that nothing can be
written past the record. The database refuses to change or delete what is recorded.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.services.callers import CALLER
from api.store.answers import milliseconds
from api.store.tables import change
from schemas.changes import Change, ChangeAct
from schemas.windows import TimeWindow

Stored = dict[str, Any]


class Journal:
    """What a transaction has changed so far, in order."""

    def __init__(self) -> None:
        self.entries: list[dict[str, Any]] = []

    def tell(self, kind: str, name: str, before: Stored | None, after: Stored | None) -> None:
        if before == after:
            return
        if before is None:
            act = ChangeAct.ADDED
        else:
            act = ChangeAct.REMOVED if after is None else ChangeAct.CHANGED
        entry = {"kind": kind, "name": name, "act": act.value, "before": before, "after": after}
        self.entries.append(entry)

    async def flush(self, connection: AsyncConnection, salon: str, now: datetime) -> None:
        if not self.entries:
            return
        caller = CALLER.get()
        common = {
            "salon_id": salon,
            "at": milliseconds(now),
            "who": caller.name,
            "role": caller.role,
            "operation": caller.operation,
        }
        await connection.execute(sa.insert(change), [common | entry for entry in self.entries])
        self.entries = []


class Pen:
    """What a table calls at every change: it counts those of the book, and tells the journal."""

    def __init__(self, journal: Journal, count: Callable[[], None] | None = None) -> None:
        self.journal = journal
        self.count = count

    def __call__(self) -> None:
        if self.count is not None:
            self.count()

    def tell(self, table: sa.Table, name: str, before: Stored | None, after: Stored | None) -> None:
        self.journal.tell(table.name.replace("_", "-"), name, before, after)


class ChangeTable:
    """The record of one salon, to be read; the journal alone writes it."""

    def __init__(self, connection: AsyncConnection, salon: str) -> None:
        self.connection = connection
        self.salon = salon

    async def page(
        self,
        *,
        kind: str | None,
        name: str | None,
        who: str | None,
        window: TimeWindow | None,
        after: int | None,
        limit: int,
    ) -> tuple[Change, ...]:
        columns = change.c
        query = sa.select(change).where(columns.salon_id == self.salon)
        for column, wanted in ((columns.kind, kind), (columns.name, name), (columns.who, who)):
            if wanted is not None:
                query = query.where(column == wanted)
        if window is not None:
            query = query.where(
                columns.at >= milliseconds(window.start), columns.at < milliseconds(window.end)
            )
        if after is not None:
            query = query.where(columns.id < after)
        found = await self.connection.execute(query.order_by(columns.id.desc()).limit(limit))
        return tuple(_change(row) for row in found)


def _change(row: sa.Row[Any]) -> Change:
    return Change.model_validate(
        {
            "id": str(row.id),
            "at": datetime.fromtimestamp(row.at / 1000, UTC),
            "who": row.who,
            "role": row.role,
            "operation": row.operation,
            "kind": row.kind,
            "name": row.name,
            "act": row.act,
            "before": row.before,
            "after": row.after,
        }
    )
