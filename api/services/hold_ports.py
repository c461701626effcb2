"""What the services need of places that are held and offered."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from schemas.holds import Hold
from schemas.waiting import PlaceOffer
from schemas.windows import TimeWindow

if TYPE_CHECKING:
    from api.services.ports import Occupied


class Holds(Protocol):
    """Places that are held. One whose time is over is not there any more."""

    async def get(self, name: str) -> Hold | None: ...

    async def during(self, window: TimeWindow) -> tuple[Hold, ...]: ...

    async def page(self, *, after: str | None, limit: int) -> tuple[Hold, ...]: ...

    async def add(self, held: Hold, rows: Sequence[Occupied]) -> None:
        """Raises AlreadyThereError where the visit holds a place, DoubleBookedError as `occupy`."""
        ...

    async def remove(self, name: str) -> bool:
        """Give back all that it takes of the salon."""
        ...


class Offers(Protocol):
    """Places that those who wait were offered."""

    async def put(self, offer: PlaceOffer) -> None: ...

    async def of(self, visit: str) -> tuple[PlaceOffer, ...]: ...
