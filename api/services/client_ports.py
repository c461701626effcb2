"""What the services need of a store to tell and to erase what is kept of a client."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from schemas.dealings import BookingRecord


@dataclass(frozen=True)
class Erased:
    """How many rows had a client's name."""

    bookings: int
    changes: int
    rows: int
    """All of them, in whatever table."""


class ClientsKept(Protocol):
    """Clients by their names, exactly as they were written down."""

    async def bookings(self, client: str) -> tuple[BookingRecord, ...]: ...

    async def things(self, client: str) -> tuple[tuple[str, str], ...]:
        """Kind and name of all on record that ever bore her name."""
        ...

    async def silent_since(self, instant: datetime) -> tuple[str, ...]:
        """Clients of whom nothing is on the book, or was asked, after `instant`."""
        ...

    async def erase(self, client: str, name: str, now: datetime) -> Erased:
        """Her name replaced by "erased" and `name`, wherever it is kept."""
        ...
