"""Whether there is any use in asking."""

from __future__ import annotations

from api.services.errors import StoreUnavailableError
from api.services.ports import Store
from schemas.health import Ready


class Health:
    def __init__(self, store: Store) -> None:
        self.store = store

    async def ready(self) -> Ready:
        """Asks the database now. Raises StoreUnavailableError where it cannot be worked with."""
        level = await self.store.level()
        if level.found is None or not level.right:
            raise StoreUnavailableError(
                f"the database is at level {level.found}, this version wants {level.wanted}"
            )
        async with self.store.reading():
            return Ready(level=level.found)
