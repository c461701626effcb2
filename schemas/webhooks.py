"""Webhooks: who is told of what happens, and what she is told."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, StringConstraints, model_validator

from schemas.base import Document
from schemas.units import Identifier, Text
from schemas.windows import TimeWindow

ADDRESS = r"^https?://[A-Za-z0-9.\-]{1,253}(:[0-9]{1,5})?(/[!#-;=?-Z_a-z~%]*)?$"


class EventKind(StrEnum):
    BOOKING_MADE = "booking.made"
    """A booking, or a request that waits for a place; `status` says which."""
    BOOKING_CHANGED = "booking.changed"
    BOOKING_CANCELLED = "booking.cancelled"
    PLAN_PUBLISHED = "plan.published"


class WebhookOrder(Document):
    """An address that is to be told of events."""

    id: Identifier
    url: Annotated[str, StringConstraints(pattern=ADDRESS, max_length=500)]
    """`https`, at an address that everybody can reach, without a name or password in it."""
    events: Annotated[tuple[EventKind, ...], Field(min_length=1, max_length=20)] = tuple(EventKind)

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        if len(set(self.events)) < len(self.events):
            raise ValueError("an event is named twice")
        return self


class Webhook(WebhookOrder):
    """An address that is told, and how that goes."""

    created_at: datetime
    waiting: Annotated[int, Field(ge=0)] = 0
    """Events that she has not taken yet."""
    given_up: Annotated[int, Field(ge=0)] = 0
    """Events that she did not take, however often they were sent."""


class NewWebhook(Webhook):
    """A webhook with its secret, which is told this once."""

    secret: Text
    """With it each message is signed, as the description of this operation says."""


class Webhooks(Document):
    items: tuple[Webhook, ...]


class BookingFacts(Document):
    """A booking without anything that is personal: read it for more."""

    id: Identifier
    status: Text
    window: TimeWindow | None = None
    chair: Identifier | None = None
    lead: Identifier | None = None


class EventMessage(Document):
    """What is sent. The order of messages is not certain; `at` says when it happened."""

    id: Identifier
    """The same each time that the event is sent: it may be sent more than once."""
    type: EventKind
    at: datetime
    salon: Identifier
    booking: BookingFacts | None = None
    plan: Identifier | None = None
