"""What is kept of one client: told to her, and erased."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from pydantic import Field

from schemas.base import Document
from schemas.changes import Change
from schemas.dealings import BookingRecord
from schemas.units import Identifier, Text


class ClientNamed(Document):
    """A client by her name, exactly as it was written down."""

    client: Text


class ClientExport(Document):
    """All that is kept under a client's name (GDPR, articles 15 and 20)."""

    client: Text
    at: datetime
    bookings: tuple[BookingRecord, ...]
    changes: tuple[Change, ...]
    """What is on record of her bookings and of places held for her, the newest first."""
    other_names: tuple[Text, ...]
    """Names that the same bookings have borne as well."""


class ClientErasure(Document):
    """A client who is erased (GDPR, article 17). Nothing here says who she was."""

    id: Identifier
    at: datetime
    client: Text
    """What stands in the place of her name."""
    bookings: Annotated[int, Field(ge=0)]
    changes: Annotated[int, Field(ge=0)]
    """Entries of the record of changes in which her name was replaced."""
    other_names: tuple[Text, ...]
    """Names that the same bookings have borne as well, and that are still there."""
