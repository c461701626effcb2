"""What the services need of a store to know browsers that are signed in."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from api.services.ports import KeptToken


class Sessions(Protocol):
    """Browsers that are signed in, by the digests of what their cookies say."""

    async def add(self, digest: str, token: str, expires_at: datetime) -> None: ...

    async def find(self, digest: str, now: datetime) -> KeptToken | None:
        """The token it was begun with, where it is not over."""
        ...

    async def remove(self, digest: str) -> None: ...

    async def forget(self, now: datetime) -> None:
        """Drop those that are over."""
        ...
