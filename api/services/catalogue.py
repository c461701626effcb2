"""Lists of things a salon has: chairs, people, the menu. All are kept in the same way."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from api.services.errors import AlreadyThereError, NotFoundError, UnprocessableError
from api.services.ports import Documents, Store, UnitOfWork, Versioned
from api.services.versions import Expectation
from schemas.resources import Chair, StaffMember
from schemas.style import MenuEntry
from solver.errors import Fault

D = TypeVar("D", Chair, StaffMember, MenuEntry)
"""What has a name and is retired, not thrown away, since old bookings speak of it."""


class Catalogue(Generic[D]):
    """One list. `what` is its word in sentences, `pick` finds its table in a unit of work."""

    def __init__(self, store: Store, what: str, pick: Callable[[UnitOfWork], Documents[D]]) -> None:
        self.store = store
        self.what = what
        self.pick: Callable[[UnitOfWork], Documents[D]] = pick

    async def page(self, after: str | None, limit: int) -> tuple[tuple[D, ...], str | None]:
        """Some of the list, and the name to go on after."""
        async with self.store.reading() as unit:
            items = await self.pick(unit).page(after=after, limit=limit + 1)
        return items[:limit], items[limit - 1].id if len(items) > limit else None

    async def read(self, name: str) -> Versioned[D]:
        async with self.store.reading() as unit:
            return await self._there(unit, name)

    async def add(self, document: D) -> Versioned[D]:
        try:
            async with self.store.writing() as unit:
                await self.pick(unit).add(document)
        except AlreadyThereError as taken:
            raise AlreadyThereError(f"there is a {self.what} {document.id} already") from taken
        return Versioned(document, 1)

    async def replace(self, name: str, document: D, seen: Expectation) -> Versioned[D]:
        if document.id != name:
            raise UnprocessableError(Fault("/id", f"must be {name}, as in the path"))
        async with self.store.writing() as unit:
            seen.require((await self._there(unit, name)).version)
            return Versioned(document, await self.pick(unit).put(document))

    async def retire(self, name: str, seen: Expectation) -> Versioned[D]:
        """Take it out of use from now on; retiring it again changes nothing."""
        async with self.store.writing() as unit:
            there = await self._there(unit, name)
            seen.require(there.version)
            if there.document.retired:
                return there
            retired = there.document.model_copy(update={"retired": True})
            return Versioned(retired, await self.pick(unit).put(retired))

    async def _there(self, unit: UnitOfWork, name: str) -> Versioned[D]:
        found = await self.pick(unit).get(name)
        if found is None:
            raise NotFoundError(self.what, name)
        return found
