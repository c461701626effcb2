"""Answers to keyed requests, kept in the transaction of what they tell."""

from __future__ import annotations

from datetime import UTC, datetime

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.services.ports import Answer, Asked
from api.store.tables import answered


class AnswerTable:
    """Answers of one salon, by who asked and with which key."""

    def __init__(self, connection: AsyncConnection, salon: str) -> None:
        self.connection = connection
        self.salon = salon

    async def get(self, who: str, key: str, since: datetime) -> tuple[str, Answer] | None:
        columns = answered.c
        found = await self.connection.execute(
            sa.select(columns.fingerprint, columns.status, columns.headers, columns.body).where(
                columns.salon_id == self.salon,
                columns.who == who,
                columns.key == key,
                columns.at > milliseconds(since),
            )
        )
        row = found.first()
        return None if row is None else (row[0], Answer(row[1], row[2], row[3]))

    async def put(self, asked: Asked, answer: Answer, now: datetime) -> None:
        await self.connection.execute(
            sa.insert(answered).values(
                salon_id=self.salon,
                who=asked.who,
                key=asked.key,
                fingerprint=asked.fingerprint,
                at=milliseconds(now),
                status=answer.status,
                headers=answer.headers,
                body=answer.body,
            )
        )

    async def forget(self, before: datetime) -> None:
        await self.connection.execute(
            sa.delete(answered).where(
                answered.c.salon_id == self.salon, answered.c.at <= milliseconds(before)
            )
        )


def milliseconds(instant: datetime) -> int:
    """Since 1970 in UTC."""
    return int(instant.astimezone(UTC).timestamp() * 1000)
