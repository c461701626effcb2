"""Calendar feeds (RFC 5545) that a person's own calendar reads."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.units import Identifier


class FeedKind(StrEnum):
    """Whose days a calendar feed tells."""

    PERSON = "person"
    CHAIR = "chair"
    SALON = "salon"


class NewCalendarFeed(Document):
    """A feed to be made."""

    id: Identifier
    """A name of its own, by which it is taken back."""
    kind: FeedKind
    subject: Identifier | None = None
    """The person or the chair; nobody for the whole salon."""

    @model_validator(mode="after")
    def _of_somebody(self) -> Self:
        if (self.kind is FeedKind.SALON) is not (self.subject is None):
            raise ValueError("subject names the person or the chair, and nobody for the salon")
        return self


class CalendarFeed(Document):
    """A feed, without its address."""

    id: Identifier
    kind: FeedKind
    subject: Identifier | None
    made_at: datetime
    revoked_at: datetime | None


class CalendarFeedMade(CalendarFeed):
    """A feed with its address, which is told this once."""

    path: Annotated[str, Field(max_length=200)]
    """Where it is read, below the address of the service. Whoever knows it can read it."""


class CalendarFeeds(Document):
    items: tuple[CalendarFeed, ...]
