"""What is kept of one client, wherever it stands; and how it is erased, in one transaction."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.services.callers import CALLER
from api.services.client_ports import Erased
from api.services.personal import ERASED, renamed
from api.store.answers import milliseconds
from api.store.journal import Pen
from api.store.mappers import from_json, minute
from api.store.tables import answered, booking, change, erasure, hold, metadata
from schemas.dealings import BookingRecord

_TOLD_OF = ("booking", "hold")
"""Kinds on record whose documents name a client, at `request.client`."""


class ClientTable:
    """Clients of one salon, by their names exactly as they were written down."""

    def __init__(self, connection: AsyncConnection, salon: str, touch: Pen) -> None:
        self.connection = connection
        self.salon = salon
        self.touch = touch

    async def bookings(self, client: str) -> tuple[BookingRecord, ...]:
        query = (
            sa.select(booking.c.document)
            .where(booking.c.salon_id == self.salon, _client(booking.c.document) == client)
            .order_by(booking.c.id)
        )
        found = await self.connection.execute(query)
        return tuple(from_json(BookingRecord, stored) for stored in found.scalars())

    async def things(self, client: str) -> tuple[tuple[str, str], ...]:
        """Kind and name of all on record that ever bore her name."""
        query = (
            sa.select(change.c.kind, change.c.name)
            .distinct()
            .where(
                change.c.salon_id == self.salon,
                change.c.kind.in_(_TOLD_OF),
                sa.or_(_client(change.c.before) == client, _client(change.c.after) == client),
            )
            .order_by(change.c.kind, change.c.name)
        )
        return tuple((row.kind, row.name) for row in await self.connection.execute(query))

    async def silent_since(self, instant: datetime) -> tuple[str, ...]:
        """Clients of whom nothing is on the book, or was asked, after `instant`."""
        known = await self._last(
            booking,
            _client(booking.c.document),
            sa.func.coalesce(booking.c.ends_at, booking.c.asked_to),
        )
        recorded = await self._last(
            change, _client(change.c.after), change.c.at, change.c.kind.in_(_TOLD_OF)
        )
        holding = sa.select(_client(hold.c.document)).where(hold.c.salon_id == self.salon)
        held = set((await self.connection.execute(holding)).scalars())
        minutes, silent = minute(instant), []
        for client, at in recorded.items():
            end = known.get(client, at // 60_000)
            if end < minutes and client not in held and not client.startswith(ERASED):
                silent.append(client)
        return tuple(sorted(silent))

    async def _last(
        self,
        table: sa.Table,
        client: sa.ColumnElement[str],
        instant: sa.ColumnElement[int],
        *further: sa.ColumnElement[bool],
    ) -> dict[str, int]:
        """The latest instant of each client."""
        each = sa.select(client.label("client"), instant.label("instant")).where(
            table.c.salon_id == self.salon, client.is_not(None), *further
        )
        rows = each.subquery()
        query = sa.select(rows.c.client, sa.func.max(rows.c.instant)).group_by(rows.c.client)
        return {row[0]: row[1] for row in await self.connection.execute(query)}

    async def erase(self, client: str, name: str, now: datetime) -> Erased:
        """Her name replaced by ERASED and `name`, in all that is kept; the record says so."""
        self.touch()
        mine = {"salon_id": self.salon, "id": name}
        await self.connection.execute(
            sa.insert(erasure).values(
                **mine, at=milliseconds(now), who=CALLER.get().name, rows=0, under_way=1
            )
        )
        counted = {
            table.name: await self._replace(table, columns, client, ERASED + name)
            for table, columns in _documents()
        }
        counted[answered.name] += await self._replace(
            answered, (answered.c.body,), client, ERASED + name
        )
        rows = sum(counted.values())
        await self.connection.execute(
            sa.update(erasure)
            .where(erasure.c.salon_id == self.salon, erasure.c.id == name)
            .values(under_way=None, rows=rows)
        )
        told = {"rows": {name: count for name, count in sorted(counted.items()) if count}}
        self.touch.tell(erasure, name, None, told)
        return Erased(bookings=counted[booking.name], changes=counted[change.name], rows=rows)

    async def _replace(
        self, table: sa.Table, columns: Sequence[sa.Column[Any]], client: str, by: str
    ) -> int:
        """Row by row; only those that hold the name, as JSON writes it, are read at all."""
        keys = tuple(table.primary_key.columns)
        holds_it = (
            sa.cast(column, sa.Text).contains(each, autoescape=True)
            for column in columns
            for each in _spellings(client)
        )
        query = sa.select(*keys, *columns).where(table.c.salon_id == self.salon, sa.or_(*holds_it))
        count = 0
        for row in (await self.connection.execute(query)).all():
            values = {}
            for column, stored in zip(columns, row[len(keys) :], strict=True):
                kept = json.loads(stored) if isinstance(stored, str) else stored
                told = renamed(kept, client, by)
                if told != kept:
                    values[column.name] = json.dumps(told) if isinstance(stored, str) else told
            if values:
                this = (key == value for key, value in zip(keys, row, strict=False))
                await self.connection.execute(sa.update(table).where(*this).values(values))
                count += 1
        return count


def _documents() -> Iterator[tuple[sa.Table, tuple[sa.Column[Any], ...]]]:
    """Every table of a salon's documents, of tables that come later too."""
    for table in metadata.sorted_tables:
        columns = tuple(each for each in table.c if isinstance(each.type, sa.JSON))
        if "salon_id" in table.c and columns:
            yield table, columns


def _client(document: sa.Column[Any]) -> sa.ColumnElement[str]:
    named: sa.ColumnElement[str] = document["request"]["client"].as_string()
    return named


def _spellings(text: str) -> set[str]:
    """JSON may write what is not ASCII as it is, or escaped."""
    return {json.dumps(text)[1:-1], json.dumps(text, ensure_ascii=False)[1:-1]}
