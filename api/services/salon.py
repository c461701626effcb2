"""The salon's own document."""

from __future__ import annotations

from api.services.errors import ConflictError, NotFoundError, NotSetUpError
from api.services.ports import Store, UnitOfWork, Versioned
from api.services.versions import Expectation
from schemas.salon import Salon


async def salon_of(unit: UnitOfWork) -> Salon:
    """The salon, for services that cannot do without. Raises NotSetUpError before it is told."""
    found = await unit.salon()
    if found is None:
        raise NotSetUpError("tell the salon's zone and opening hours first: PUT /v1/salon")
    return found.document


class SalonService:
    """Read it, tell it."""

    def __init__(self, store: Store) -> None:
        self.store = store

    async def read(self) -> Versioned[Salon]:
        async with self.store.reading() as unit:
            found = await unit.salon()
        if found is None:
            raise NotFoundError("salon", "yet: tell it with PUT /v1/salon")
        return found

    async def put(self, salon: Salon, seen: Expectation) -> Versioned[Salon]:
        """Raises ConflictError where the zone would change under a rota that is there."""
        async with self.store.writing() as unit:
            there = await unit.salon()
            seen.require(None if there is None else there.version)
            moved = there is not None and there.document.zone != salon.zone
            # Windows on record carry the old offsets, and days begin at another minute.
            if moved and await unit.shifts.page(limit=1):
                raise ConflictError("the zone cannot change any more: there is a rota in it")
            return Versioned(salon, await unit.put_salon(salon))
