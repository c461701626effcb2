"""The waiting list: who waits for a place, in fair order, and what she was offered."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from schemas.base import Document
from schemas.booking import Request
from schemas.holds import HoldMinutes
from schemas.openings import Opening
from schemas.units import Identifier, Text, Timestamp


class OfferState(StrEnum):
    """What has become of an offer."""

    OPEN = "open"
    ACCEPTED = "accepted"
    DECLINED = "declined"
    LAPSED = "lapsed"
    """It was not answered in time."""


class PlaceOffer(Document):
    """A place that somebody on the waiting list was offered."""

    id: Identifier
    visit: Identifier
    start: Timestamp
    finish: Timestamp
    chair: Identifier | None
    lead: Identifier
    offered_at: datetime
    until: datetime
    state: OfferState = OfferState.OPEN


class NewOffer(Document):
    """A place to hold for somebody who waits, until she answers."""

    opening: Opening
    minutes: HoldMinutes = 30


class WaitingEntry(Document):
    """Somebody who waits, with her place in the list and why it is hers."""

    place: Annotated[int, Field(ge=1)]
    visit: Identifier
    since: Timestamp
    """The minute in which she asked."""
    request: Request
    offers: tuple[PlaceOffer, ...]
    why: Text


class WaitingList(Document):
    """Who has waited longest comes first; of two who asked in one minute, the lesser name."""

    items: tuple[WaitingEntry, ...]
    total: Annotated[int, Field(ge=0)]
    """How many wait, those left off included."""


class GapOrder(Document):
    """A booking whose place is, or would be, free."""

    freed: Identifier
    """A booking with a place, or one that had a place when it was called off."""
