"""Calendar feeds of one salon, by the digests of their secrets."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.services.ports import KeptFeed
from api.store.answers import milliseconds
from api.store.journal import Pen
from api.store.tables import calendar_feed as feeds
from schemas.feeds import FeedKind


class FeedTable:
    """The record tells of a feed everything but its digest."""

    def __init__(self, connection: AsyncConnection, salon: str, touch: Pen) -> None:
        self.connection = connection
        self.salon = salon
        self.touch = touch

    async def add(self, feed: KeptFeed, digest: str) -> None:
        await self.connection.execute(
            sa.insert(feeds).values(
                salon_id=self.salon,
                id=feed.id,
                kind=feed.kind.value,
                subject=feed.subject,
                digest=digest,
                made_at=milliseconds(feed.made_at),
            )
        )
        self.touch.tell(feeds, feed.id, None, _told(feed))

    async def find(self, digest: str) -> KeptFeed | None:
        query = sa.select(feeds).where(feeds.c.salon_id == self.salon, feeds.c.digest == digest)
        row = (await self.connection.execute(query)).first()
        return None if row is None else _feed(row)

    async def all(self) -> tuple[KeptFeed, ...]:
        query = sa.select(feeds).where(feeds.c.salon_id == self.salon).order_by(feeds.c.id)
        return tuple(_feed(row) for row in await self.connection.execute(query))

    async def revoke(self, name: str, now: datetime) -> bool:
        mine = sa.and_(feeds.c.salon_id == self.salon, feeds.c.id == name)
        row = (await self.connection.execute(sa.select(feeds).where(mine))).first()
        if row is None:
            return False
        before = _feed(row)
        if before.revoked_at is None:
            changed = await self.connection.execute(
                sa.update(feeds)
                .where(mine)
                .values(revoked_at=milliseconds(now))
                .returning(*feeds.c)
            )
            self.touch.tell(feeds, name, _told(before), _told(_feed(changed.one())))
        return True


def _feed(row: sa.Row[Any]) -> KeptFeed:
    return KeptFeed(
        id=row.id,
        kind=FeedKind(row.kind),
        subject=row.subject,
        made_at=datetime.fromtimestamp(row.made_at / 1000, UTC),
        revoked_at=None
        if row.revoked_at is None
        else datetime.fromtimestamp(row.revoked_at / 1000, UTC),
    )


def _told(feed: KeptFeed) -> dict[str, Any]:
    return {
        "kind": feed.kind.value,
        "subject": feed.subject,
        "revoked_at": None if feed.revoked_at is None else feed.revoked_at.isoformat(),
    }
