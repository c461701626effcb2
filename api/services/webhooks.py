"""Who outside is told of events, and the task that tells them.

An event is written in the transaction of what happened (`store/outbox`), so there is none without
the other. It is sent until its address takes it: at least once, each time with the same id.
"""

from __future__ import annotations

import asyncio
import base64
import hashlib
import hmac
import logging
import random
import secrets

from api.clock import Clock
from api.services.background import Background
from api.services.errors import NotFoundError, ServiceError, UnprocessableError
from api.services.ports import Store
from api.services.webhook_ports import Delivery, Sender
from schemas.webhooks import NewWebhook, Webhook, WebhookOrder, Webhooks
from solver.errors import Fault

_log = logging.getLogger("partline.webhooks")
PREFIX = "whsec_"
MOST = 20
"""Webhooks of one salon."""
MOST_ATTEMPTS = 14
FIRST_PAUSE = 5.0
"""Seconds until the second attempt; each further pause is twice as long: half a day in all."""
LEASE = 60.0
"""Seconds in which an attempt is over, or its process is dead and another makes it anew."""
TICK = 1.0
AT_ONCE = 10
GONE = 410


class UndeliveredError(Exception):
    """There was no answer, or the address may not be asked."""


def signature(secret: str, name: str, seconds: int, body: str) -> str:
    """`v1,` and the base64 of an HMAC-SHA256 over `name.seconds.body` (Standard Webhooks 1.0)."""
    key = base64.b64decode(secret.removeprefix(PREFIX))
    digest = hmac.new(key, f"{name}.{seconds}.{body}".encode(), hashlib.sha256).digest()
    return f"v1,{base64.b64encode(digest).decode()}"


class WebhookDesk:
    """What the owner arranges."""

    def __init__(self, store: Store, clock: Clock, *, anywhere: bool) -> None:
        self.store = store
        self.clock = clock
        self.anywhere = anywhere

    async def add(self, order: WebhookOrder) -> NewWebhook:
        """Raises UnprocessableError, AlreadyThereError when the name is taken."""
        if not self.anywhere and not order.url.startswith("https://"):
            raise UnprocessableError(Fault("/url", "must begin with https://"))
        secret = PREFIX + base64.b64encode(secrets.token_bytes(32)).decode()
        async with self.store.writing() as unit:
            if len(await unit.webhooks.all()) >= MOST:
                raise UnprocessableError(Fault("/id", f"a salon has at most {MOST} webhooks"))
            await unit.webhooks.add(order, secret)
        return NewWebhook(**order.model_dump(), created_at=self.clock.now(), secret=secret)

    async def all(self) -> Webhooks:
        async with self.store.reading() as unit:
            return Webhooks(items=await unit.webhooks.all())

    async def read(self, name: str) -> Webhook:
        for webhook in (await self.all()).items:
            if webhook.id == name:
                return webhook
        raise NotFoundError("webhook", name)

    async def remove(self, name: str) -> None:
        async with self.store.writing() as unit:
            if not await unit.webhooks.remove(name):
                raise NotFoundError("webhook", name)


class Postman(Background):
    """Sends what is due, in the background of each service."""

    def __init__(self, store: Store, sender: Sender) -> None:
        super().__init__()
        self.store = store
        self.sender = sender

    async def round(self) -> int:
        """Send what is due; how many there were."""
        due = await self.store.deliveries.take(AT_ONCE, LEASE)
        await asyncio.gather(*(self._send(delivery) for delivery in due))
        return len(due)

    async def _run(self) -> None:
        while True:
            sent = 0
            try:
                sent = await self.round()
            except ServiceError as error:
                _log.warning("webhooks must wait", exc_info=error)
            if sent < AT_ONCE:
                await asyncio.sleep(TICK)

    async def _send(self, delivery: Delivery) -> None:
        status = None
        try:
            status = await self.sender.send(delivery)
        except UndeliveredError as error:
            _log.info("a webhook was not delivered: %s", error)
        deliveries = self.store.deliveries
        if status is not None and 200 <= status < 300:
            await deliveries.done(delivery)
        elif status == GONE or delivery.attempt >= MOST_ATTEMPTS:
            _log.warning("an event is not sent any more")
            await deliveries.give_up(delivery)
        else:
            await deliveries.later(delivery, pause(delivery.attempt))


def pause(attempt: int) -> float:
    """Seconds until the next attempt, a fifth more or less, so that not all come at once."""
    jitter: float = random.uniform(0.8, 1.2)  # noqa: S311 - nothing is to be guessed
    return FIRST_PAUSE * 2.0 ** (attempt - 1) * jitter
