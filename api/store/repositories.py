"""Documents by name, and documents that hold for a window of time."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Generic, TypeVar

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.services.ports import Versioned
from api.store.journal import Pen
from api.store.mappers import as_text, bounds, from_json, from_text, minute, to_json
from schemas.base import Document
from schemas.windows import TimeWindow

D = TypeVar("D", bound=Document)
Touch = Pen


class DocumentTable(Generic[D]):
    """One table of documents, seen from one salon. `touch` is told of every change.

    `tells` is what the record says of a document: all of it, but for long ones.
    """

    def __init__(
        self,
        connection: AsyncConnection,
        salon: str,
        table: sa.Table,
        model: type[D],
        *,
        name: Callable[[D], str],
        touch: Touch,
        columns: Callable[[D], dict[str, Any]] = lambda _document: {},
        tells: Callable[[D], dict[str, Any]] = to_json,
    ) -> None:
        self.connection = connection
        self.salon = salon
        self.tells = tells
        self.table = table
        self.model = model
        self.name = name
        self.touch = touch
        self.columns = columns

    async def get(self, name: str) -> Versioned[D] | None:
        columns = self.table.c
        found = await self.connection.execute(
            sa.select(columns.document, columns.version).where(self._is(name))
        )
        row = found.first()
        return None if row is None else Versioned(from_json(self.model, row[0]), row[1])

    async def page(self, *, after: str | None = None, limit: int) -> tuple[D, ...]:
        return await self.read(self._of_salon(after).limit(limit))

    async def all(self) -> tuple[D, ...]:
        return await self.read(self._of_salon(None))

    async def add(self, document: D) -> None:
        self.touch()
        await self.connection.execute(
            sa.insert(self.table).values(
                salon_id=self.salon,
                id=self.name(document),
                version=1,
                document=to_json(document),
                **self.columns(document),
            )
        )
        self.touch.tell(self.table, self.name(document), None, self.tells(document))

    async def put(self, document: D) -> int:
        before = await self.get(self.name(document))
        if before is None:
            await self.add(document)
            return 1
        self.touch()
        changed = await self.connection.execute(
            sa.update(self.table)
            .where(self._is(self.name(document)))
            .values(
                version=self.table.c.version + 1,
                document=to_json(document),
                **self.columns(document),
            )
            .returning(self.table.c.version)
        )
        told = self.tells(before.document), self.tells(document)
        self.touch.tell(self.table, self.name(document), *told)
        return int(changed.scalar_one())

    async def remove(self, name: str) -> bool:
        self.touch()
        removed = await self.connection.execute(
            sa.delete(self.table).where(self._is(name)).returning(self.table.c.document)
        )
        row = removed.first()
        if row is not None:
            before = self.tells(from_json(self.model, row[0]))
            self.touch.tell(self.table, name, before, None)
        return row is not None

    async def read(self, query: sa.Select[Any]) -> tuple[D, ...]:
        """The documents that `query` selects."""
        texts = query.with_only_columns(as_text(self.table.c.document))
        found = await self.connection.execute(texts)
        return tuple(from_text(self.model, text) for text in found.scalars())

    def _is(self, name: str) -> sa.ColumnElement[bool]:
        return sa.and_(self.table.c.salon_id == self.salon, self.table.c.id == name)

    def _of_salon(self, after: str | None) -> sa.Select[Any]:
        query = sa.select(self.table.c.document).where(self.table.c.salon_id == self.salon)
        if after is not None:
            query = query.where(self.table.c.id > after)
        return query.order_by(self.table.c.id)


class SpanTable(DocumentTable[D]):
    """Documents with an owner and a window of time."""

    def __init__(
        self,
        connection: AsyncConnection,
        salon: str,
        table: sa.Table,
        model: type[D],
        *,
        name: Callable[[D], str],
        touch: Touch,
        owner: Callable[[D], str],
        owner_column: str,
        window: Callable[[D], TimeWindow],
    ) -> None:
        super().__init__(
            connection,
            salon,
            table,
            model,
            name=name,
            touch=touch,
            columns=lambda document: {owner_column: owner(document), **bounds(window(document))},
        )
        self.owner_column = table.c[owner_column]

    async def during(self, window: TimeWindow, owner: str | None = None) -> tuple[D, ...]:
        query = (
            sa.select(self.table.c.document)
            .where(self.table.c.salon_id == self.salon, self._overlaps(window))
            .order_by(self.table.c.starts_at, self.table.c.id)
        )
        if owner is not None:
            query = query.where(self.owner_column == owner)
        return await self.read(query)

    async def page_of(
        self, owner: str, *, window: TimeWindow | None, after: str | None, limit: int
    ) -> tuple[D, ...]:
        query = self._of_salon(after).where(self.owner_column == owner).limit(limit)
        if window is not None:
            query = query.where(self._overlaps(window))
        return await self.read(query)

    def _overlaps(self, window: TimeWindow) -> sa.ColumnElement[bool]:
        return sa.and_(
            self.table.c.starts_at < minute(window.end),
            self.table.c.ends_at > minute(window.start),
        )
