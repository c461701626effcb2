"""Sessions of one salon's browsers, by their digests."""

from __future__ import annotations

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.services.ports import KeptToken
from api.store.answers import milliseconds
from api.store.tables import session as sessions
from api.store.tables import token as tokens
from api.store.tokens import kept_token


class SessionTable:
    """Signing in and out changes nothing of the salon, so it is not on record."""

    def __init__(self, connection: AsyncConnection, salon: str) -> None:
        self.connection = connection
        self.salon = salon

    async def add(self, digest: str, token: str, expires_at: datetime) -> None:
        await self.connection.execute(
            sa.insert(sessions).values(
                salon_id=self.salon,
                digest=digest,
                token_id=token,
                expires_at=milliseconds(expires_at),
            )
        )

    async def find(self, digest: str, now: datetime) -> KeptToken | None:
        query = (
            sa.select(tokens)
            .join(
                sessions,
                sa.and_(
                    sessions.c.salon_id == tokens.c.salon_id, sessions.c.token_id == tokens.c.id
                ),
            )
            .where(
                sessions.c.salon_id == self.salon,
                sessions.c.digest == digest,
                sessions.c.expires_at > milliseconds(now),
            )
        )
        row = (await self.connection.execute(query)).first()
        return None if row is None else kept_token(row)

    async def remove(self, digest: str) -> None:
        await self.connection.execute(
            sa.delete(sessions).where(
                sessions.c.salon_id == self.salon, sessions.c.digest == digest
            )
        )

    async def forget(self, now: datetime) -> None:
        await self.connection.execute(
            sa.delete(sessions).where(
                sessions.c.salon_id == self.salon, sessions.c.expires_at <= milliseconds(now)
            )
        )
