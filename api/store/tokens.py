"""Tokens of one salon, by their digests."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.services.callers import Role
from api.services.ports import KeptToken
from api.store.answers import milliseconds
from api.store.journal import Pen
from api.store.tables import token as tokens


class TokenTable:
    """The record tells of a token everything but its digest."""

    def __init__(self, connection: AsyncConnection, salon: str, touch: Pen) -> None:
        self.connection = connection
        self.salon = salon
        self.touch = touch

    async def add(self, token: KeptToken, digest: str) -> None:
        await self.connection.execute(
            sa.insert(tokens).values(
                salon_id=self.salon,
                id=token.name,
                role=token.role.value,
                staff_id=token.staff,
                digest=digest,
                made_at=milliseconds(token.made_at),
                expires_at=milliseconds(token.expires_at),
            )
        )
        self.touch.tell(tokens, token.name, None, _told(token))

    async def find(self, digest: str) -> KeptToken | None:
        query = sa.select(tokens).where(tokens.c.salon_id == self.salon, tokens.c.digest == digest)
        row = (await self.connection.execute(query)).first()
        return None if row is None else kept_token(row)

    async def all(self) -> tuple[KeptToken, ...]:
        query = sa.select(tokens).where(tokens.c.salon_id == self.salon).order_by(tokens.c.id)
        return tuple(kept_token(row) for row in await self.connection.execute(query))

    async def revoke(self, name: str, now: datetime) -> bool:
        mine = sa.and_(tokens.c.salon_id == self.salon, tokens.c.id == name)
        row = (await self.connection.execute(sa.select(tokens).where(mine))).first()
        if row is None:
            return False
        before = kept_token(row)
        if before.revoked_at is None:
            changed = await self.connection.execute(
                sa.update(tokens)
                .where(mine)
                .values(revoked_at=milliseconds(now))
                .returning(*tokens.c)
            )
            self.touch.tell(tokens, name, _told(before), _told(kept_token(changed.one())))
        return True


def _instant(stored: int) -> datetime:
    return datetime.fromtimestamp(stored / 1000, UTC)


def kept_token(row: sa.Row[Any]) -> KeptToken:
    return KeptToken(
        name=row.id,
        role=Role(row.role),
        staff=row.staff_id,
        made_at=_instant(row.made_at),
        expires_at=_instant(row.expires_at),
        revoked_at=None if row.revoked_at is None else _instant(row.revoked_at),
    )


def _told(token: KeptToken) -> dict[str, Any]:
    return {
        "role": token.role.value,
        "staff": token.staff,
        "expires_at": token.expires_at.isoformat(),
        "revoked_at": None if token.revoked_at is None else token.revoked_at.isoformat(),
    }
