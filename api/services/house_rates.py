"""The rates that take-offs reckon with: the house's, and what the salon has set instead."""

from __future__ import annotations

from api.services.errors import NotFoundError, UnprocessableError
from api.services.ports import Store, UnitOfWork
from api.services.versions import Expectation, tag_of
from schemas.rates import HouseRate, RateSetting
from schemas.takeoff import Rate, RateOverride
from solver.errors import Fault, StyleError
from solver.takeoff.rates import HOUSE_RATES, RateBook, rate_book


async def rates_set(unit: UnitOfWork) -> tuple[RateOverride, ...]:
    """The salon's own rates.

    One that was set under an older version is passed over where the rate is gone, or its range has
    been narrowed since: the list of rates then shows the default again.
    """
    return tuple(own for own in await unit.rates.all() if _sound(own))


def _sound(own: RateOverride) -> bool:
    rate = HOUSE_RATES.get(own.code)
    return rate is not None and rate.low <= own.value <= rate.high


async def rates_in_force(unit: UnitOfWork) -> RateBook:
    """The book to reckon with."""
    return rate_book(await rates_set(unit))


class HouseRates:
    """Read them, set one, go back to the default."""

    def __init__(self, store: Store) -> None:
        self.store = store

    async def all(self) -> tuple[HouseRate, ...]:
        async with self.store.reading() as unit:
            own = await rates_set(unit)
        return _listed(own)

    async def read(self, code: str) -> HouseRate:
        async with self.store.reading() as unit:
            return await _read(unit, code)

    async def set(self, code: str, setting: RateSetting, seen: Expectation) -> HouseRate:
        """Raises UnprocessableError at /value where it is out of the rate's range."""
        async with self.store.writing() as unit:
            there = await _read(unit, code)
            seen.require_tag(tag_of(there), own=there.own)
            own = setting.of(code)
            try:
                rate_book((own,))
            except StyleError as wrong:
                told = (fault.pointer.removeprefix("/rates/0") for fault in wrong.faults)
                raise UnprocessableError(
                    *(Fault(at, fault.detail) for at, fault in zip(told, wrong.faults, strict=True))
                ) from wrong
            await unit.rates.put(own)
            return await _read(unit, code)

    async def reset(self, code: str, seen: Expectation) -> HouseRate:
        """The house's default holds again."""
        async with self.store.writing() as unit:
            there = await _read(unit, code)
            seen.require_tag(tag_of(there), own=there.own)
            await unit.rates.remove(code)
            return await _read(unit, code)


async def _read(unit: UnitOfWork, code: str) -> HouseRate:
    for rate in _listed(await rates_set(unit)):
        if rate.code == code:
            return rate
    raise NotFoundError("rate", code)


def _listed(own: tuple[RateOverride, ...]) -> tuple[HouseRate, ...]:
    changed = {override.code for override in own}
    return tuple(
        HouseRate(
            **{name: getattr(rate, name) for name in Rate.model_fields},
            default=HOUSE_RATES[rate.code].value,
            own=rate.code in changed,
        )
        for rate in rate_book(own).all()
    )
