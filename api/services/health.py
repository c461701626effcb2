"""Whether there is any use in asking."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence

from api.services.errors import StoreUnavailableError
from api.services.job_ports import Kind
from api.services.ports import Store
from schemas.health import Part, Ready

Check = Callable[[], Awaitable[Part]]
"""Looks at one part now, and raises nothing."""


class Health:
    """`checks` look at what the service can do without for a while."""

    def __init__(self, store: Store, checks: Sequence[Check] = ()) -> None:
        self.store = store
        self.checks = tuple(checks)

    async def ready(self) -> Ready:
        """Asks the database now. Raises StoreUnavailableError where it cannot be worked with."""
        level = await self.store.level()
        if level.found is None or not level.right:
            raise StoreUnavailableError(
                f"the database is at level {level.found}, this version wants {level.wanted}"
            )
        async with self.store.reading():
            pass
        parts = [await check() for check in self.checks]
        return Ready(level=level.found, parts=tuple(parts))

    async def runs(self) -> int:
        """Plans and repairs under way or waiting, whoever makes them."""
        async with self.store.reading() as unit:
            return sum([await unit.jobs.count_open(kind) for kind in Kind])
