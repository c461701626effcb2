"""What the services need to have others told of events."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from schemas.webhooks import EventMessage, Webhook, WebhookOrder


@dataclass(frozen=True)
class Delivery:
    """An event on its way to one address, taken for some time by who delivers it."""

    row: int
    attempt: int
    url: str
    secret: str
    message: EventMessage


class Webhooks(Protocol):
    """Who is told, in a transaction."""

    async def add(self, order: WebhookOrder, secret: str) -> None:
        """Raises AlreadyThereError when the name is taken."""
        ...

    async def all(self) -> tuple[Webhook, ...]: ...

    async def remove(self, name: str) -> bool:
        """What it has not been told is forgotten."""
        ...


class Deliveries(Protocol):
    """What is on its way, between transactions; by the clock of the database."""

    async def take(self, most: int, seconds: float) -> tuple[Delivery, ...]:
        """Those that are due, kept from others for so long."""
        ...

    async def done(self, delivery: Delivery) -> None: ...

    async def later(self, delivery: Delivery, seconds: float) -> None: ...

    async def give_up(self, delivery: Delivery) -> None: ...


class Sender(Protocol):
    """Carries a message to an address."""

    async def send(self, delivery: Delivery) -> int:
        """The status it was answered with. Raises UndeliveredError where there was no answer."""
        ...
