"""Events for others: written with what happened, and kept until they are told.

What happened is read off the journal of the transaction, so no service has to think of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

import sqlalchemy as sa
from sqlalchemy.ext.asyncio import AsyncConnection

from api.services.webhook_ports import Delivery
from api.store.answers import milliseconds
from api.store.engines import Engines
from api.store.failures import in_our_words
from api.store.jobs import now_ms
from api.store.journal import Pen, Stored
from api.store.mappers import from_json, to_json
from api.store.tables import delivery, webhook
from schemas.webhooks import BookingFacts, EventKind, EventMessage, Webhook, WebhookOrder

_WAITING, _GIVEN_UP = "waiting", "given-up"


class WebhookTable:
    """The webhooks of one salon. Their secrets are in no document and on no record."""

    def __init__(self, connection: AsyncConnection, salon: str, now: datetime, touch: Pen) -> None:
        self.connection, self.salon, self.now, self.touch = connection, salon, now, touch

    async def add(self, order: WebhookOrder, secret: str) -> None:
        document = to_json(order)
        await self.connection.execute(
            sa.insert(webhook).values(
                salon_id=self.salon,
                id=order.id,
                document=document,
                secret=secret,
                made_at=milliseconds(self.now),
            )
        )
        self.touch.tell(webhook, order.id, None, document)

    async def all(self) -> tuple[Webhook, ...]:
        counts = {
            (row[0], row[1]): row[2]
            for row in await self.connection.execute(
                sa.select(delivery.c.webhook_id, delivery.c.state, sa.func.count())
                .where(delivery.c.salon_id == self.salon)
                .group_by(delivery.c.webhook_id, delivery.c.state)
            )
        }
        found = await self.connection.execute(
            sa.select(webhook.c.document, webhook.c.made_at)
            .where(webhook.c.salon_id == self.salon)
            .order_by(webhook.c.id)
        )
        return tuple(
            Webhook(
                **from_json(WebhookOrder, row.document).model_dump(),
                created_at=datetime.fromtimestamp(row.made_at / 1000, UTC),
                waiting=counts.get((row.document["id"], _WAITING), 0),
                given_up=counts.get((row.document["id"], _GIVEN_UP), 0),
            )
            for row in found
        )

    async def remove(self, name: str) -> bool:
        removed = await self.connection.execute(
            sa.delete(webhook)
            .where(webhook.c.salon_id == self.salon, webhook.c.id == name)
            .returning(webhook.c.document)
        )
        row = removed.first()
        if row is not None:
            self.touch.tell(webhook, name, row[0], None)
        return row is not None


async def put_out(
    connection: AsyncConnection, salon: str, entries: Sequence[dict[str, Any]], now: datetime
) -> None:
    """Keep the events of a transaction for each webhook that wants them."""
    happened = list(_events(salon, entries, now))
    if not happened:
        return
    listeners = await connection.execute(
        sa.select(webhook.c.id, webhook.c.document).where(webhook.c.salon_id == salon)
    )
    rows = [
        {
            "salon_id": salon,
            "webhook_id": listener.id,
            "document": to_json(message),
            "state": _WAITING,
            "attempt": 0,
            "due_at": milliseconds(now),
        }
        for listener in listeners
        for message in happened
        if message.type.value in listener.document["events"]
    ]
    if rows:
        await connection.execute(sa.insert(delivery), rows)


def _events(salon: str, entries: Iterable[dict[str, Any]], now: datetime) -> Iterator[EventMessage]:
    """One event for each thing, of all that the transaction did to it."""
    things: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for entry in entries:
        if entry["kind"] in {"booking", "plan"}:
            things.setdefault((entry["kind"], entry["name"]), []).append(entry)
    for (kind, name), told in things.items():
        before, after = told[0]["before"], told[-1]["after"]
        if after is None or before == after:
            continue
        common = {"id": f"evt-{uuid4().hex}", "at": now.astimezone(UTC), "salon": salon}
        if kind == "plan":
            if after["published"] and not (before or {}).get("published"):
                yield EventMessage(**common, type=EventKind.PLAN_PUBLISHED, plan=name)
        else:
            yield EventMessage(**common, type=_kind(before, after), booking=_facts(name, after))


def _kind(before: Stored | None, after: Stored) -> EventKind:
    if before is None:
        return EventKind.BOOKING_MADE
    if after["status"] == "CANCELLED" and before["status"] != "CANCELLED":
        return EventKind.BOOKING_CANCELLED
    return EventKind.BOOKING_CHANGED


def _facts(name: str, booking: Stored) -> BookingFacts:
    placed = booking.get("placed") or {}
    told = {key: placed[key] for key in ("window", "chair", "lead") if key in placed}
    return BookingFacts.model_validate({"id": name, "status": booking["status"], **told})


class DeliveryTable:
    """What is on its way from one salon; each call is a transaction of its own."""

    def __init__(self, engines: Engines, salon: str) -> None:
        self.engines = engines
        self.salon = salon

    async def take(self, most: int, seconds: float) -> tuple[Delivery, ...]:
        due = (
            sa.select(delivery.c.id)
            .where(
                delivery.c.salon_id == self.salon,
                delivery.c.state == _WAITING,
                delivery.c.due_at <= now_ms(),
            )
            .order_by(delivery.c.due_at, delivery.c.id)
            .limit(most)
        )
        with in_our_words():
            async with self.engines.reader.begin() as connection:
                if (await connection.execute(due.limit(1))).first() is None:
                    return ()
            async with self.engines.writer.begin() as connection:
                rows = (
                    (await connection.execute(due.with_for_update(skip_locked=True)))
                    .scalars()
                    .all()
                )
                await connection.execute(
                    sa.update(delivery)
                    .where(delivery.c.id.in_(rows))
                    .values(attempt=delivery.c.attempt + 1, due_at=now_ms() + round(seconds * 1000))
                )
                return await self._read(connection, rows)

    async def done(self, told: Delivery) -> None:
        await self._write(sa.delete(delivery).where(self._is(told)))

    async def later(self, told: Delivery, seconds: float) -> None:
        due = now_ms() + round(seconds * 1000)
        await self._write(sa.update(delivery).where(self._is(told)).values(due_at=due))

    async def give_up(self, told: Delivery) -> None:
        await self._write(sa.update(delivery).where(self._is(told)).values(state=_GIVEN_UP))

    def _is(self, told: Delivery) -> sa.ColumnElement[bool]:
        return sa.and_(delivery.c.id == told.row, delivery.c.attempt == told.attempt)

    async def _write(self, statement: sa.Update | sa.Delete) -> None:
        with in_our_words():
            async with self.engines.writer.begin() as connection:
                await connection.execute(statement)

    async def _read(self, connection: AsyncConnection, rows: Sequence[int]) -> tuple[Delivery, ...]:
        found = await connection.execute(
            sa.select(
                *(delivery.c.id, delivery.c.attempt, delivery.c.document),
                *(webhook.c.secret, webhook.c.document.label("order")),
            )
            .join(
                webhook,
                sa.and_(
                    webhook.c.salon_id == delivery.c.salon_id, webhook.c.id == delivery.c.webhook_id
                ),
            )
            .where(delivery.c.id.in_(rows))
            .order_by(delivery.c.id)
        )
        return tuple(
            Delivery(
                row=row.id,
                attempt=row.attempt,
                url=from_json(WebhookOrder, row.order).url,
                secret=row.secret,
                message=from_json(EventMessage, row.document),
            )
            for row in found
        )
