"""Who is in, and which chairs are out: shifts and closures."""

from __future__ import annotations

from datetime import date

from api.services.errors import (
    AlreadyThereError,
    ConflictError,
    NotFoundError,
    UnprocessableError,
)
from api.services.opening_hours import local_day, whole_days
from api.services.ports import Store, UnitOfWork
from api.services.salon import salon_of
from api.services.versions import Expectation, tag_of
from schemas.resources import Shift
from schemas.salon import Closure, Salon
from schemas.windows import TimeWindow
from solver.errors import Fault
from solver.frame import Frame

LONGEST_SHIFT = 1440
LONGEST_CLOSURE = 366 * 1440


async def span_of_days(
    unit: UnitOfWork, first: date | None, last: date | None
) -> TimeWindow | None:
    """The window that a list is asked for; either end may be left out."""
    if first is None and last is None:
        return None
    zone = (await salon_of(unit)).zone
    begins, ends = first or date(2000, 1, 1), last or date(2100, 12, 30)
    if ends < begins:
        raise UnprocessableError(Fault("to", "must not be before from"))
    return whole_days(begins, ends, zone)


def require_on_grid(salon: Salon, window: TimeWindow, pointer: str) -> None:
    """Raises UnprocessableError where an end of the window is not on the salon's grid."""
    step = salon.grid.minutes
    faults = []
    for end, instant in (("start", window.start), ("end", window.end)):
        midnight = Frame.starting(local_day(instant, salon.zone), salon.zone)
        if midnight.minute(instant) % step:
            faults.append(Fault(f"{pointer}/{end}", f"must lie on the grid of {step} minutes"))
    if faults:
        raise UnprocessableError(*faults)


class Rota:
    """Shifts of people and closures of chairs."""

    def __init__(self, store: Store) -> None:
        self.store = store

    async def shifts(
        self, staff: str, first: date | None, last: date | None, after: str | None, limit: int
    ) -> tuple[tuple[Shift, ...], str | None]:
        """Shifts of one person that touch the days asked for."""
        async with self.store.reading() as unit:
            await _person(unit, staff)
            window = await span_of_days(unit, first, last)
            found = await unit.shifts.page_of(staff, window=window, after=after, limit=limit + 1)
        return found[:limit], found[limit - 1].id if len(found) > limit else None

    async def shift(self, staff: str, name: str) -> Shift:
        async with self.store.reading() as unit:
            return await _shift(unit, staff, name)

    async def add_shift(self, staff: str, shift: Shift) -> Shift:
        """Raises ConflictError where the person has another shift at that time."""
        _require_same(shift.staff, staff, "/staff")
        try:
            async with self.store.writing() as unit:
                await _person(unit, staff)
                await self._require_free(unit, shift)
                await unit.shifts.add(shift)
        except AlreadyThereError as taken:
            raise AlreadyThereError(f"there is a shift {shift.id} already") from taken
        return shift

    async def replace_shift(self, staff: str, name: str, shift: Shift, seen: Expectation) -> Shift:
        _require_same(shift.staff, staff, "/staff")
        _require_same(shift.id, name, "/id")
        async with self.store.writing() as unit:
            seen.require_tag(tag_of(await _shift(unit, staff, name)))
            await self._require_free(unit, shift)
            await unit.shifts.put(shift)
        return shift

    async def remove_shift(self, staff: str, name: str, seen: Expectation) -> None:
        async with self.store.writing() as unit:
            seen.require_tag(tag_of(await _shift(unit, staff, name)))
            await unit.shifts.remove(name)

    async def closures(
        self, chair: str, after: str | None, limit: int
    ) -> tuple[tuple[Closure, ...], str | None]:
        async with self.store.reading() as unit:
            await _chair(unit, chair)
            found = await unit.closures.page_of(chair, window=None, after=after, limit=limit + 1)
        return found[:limit], found[limit - 1].id if len(found) > limit else None

    async def close(self, chair: str, closure: Closure) -> Closure:
        """Take a chair out of use. Visits that are on the book in that time stay on it."""
        _require_same(closure.chair, chair, "/chair")
        if closure.window.minutes > LONGEST_CLOSURE:
            raise UnprocessableError(Fault("/window", "a closure lasts at most a year"))
        try:
            async with self.store.writing() as unit:
                await _chair(unit, chair)
                require_on_grid(await salon_of(unit), closure.window, "/window")
                await unit.closures.add(closure)
        except AlreadyThereError as taken:
            raise AlreadyThereError(f"there is a closure {closure.id} already") from taken
        return closure

    async def reopen(self, chair: str, name: str) -> None:
        async with self.store.writing() as unit:
            await _chair(unit, chair)
            found = await unit.closures.get(name)
            if found is None or found.document.chair != chair:
                raise NotFoundError(f"closure of {chair}", name)
            await unit.closures.remove(name)

    async def _require_free(self, unit: UnitOfWork, shift: Shift) -> None:
        if shift.window.minutes > LONGEST_SHIFT:
            raise UnprocessableError(Fault("/window", "a shift lasts at most a day"))
        require_on_grid(await salon_of(unit), shift.window, "/window")
        for other in await unit.shifts.during(shift.window, owner=shift.staff):
            if other.id != shift.id:
                raise ConflictError(f"{shift.staff} has the shift {other.id} at that time")


def _require_same(stated: str, path: str, pointer: str) -> None:
    if stated != path:
        raise UnprocessableError(Fault(pointer, f"must be {path}, as in the path"))


async def _person(unit: UnitOfWork, name: str) -> None:
    if await unit.staff.get(name) is None:
        raise NotFoundError("person", name)


async def _chair(unit: UnitOfWork, name: str) -> None:
    if await unit.chairs.get(name) is None:
        raise NotFoundError("chair", name)


async def _shift(unit: UnitOfWork, staff: str, name: str) -> Shift:
    found = await unit.shifts.get(name)
    if found is None or found.document.staff != staff:
        raise NotFoundError(f"shift of {staff}", name)
    return found.document
