"""The rules of the house as data: what the engine knows, and what the salon has set."""

from __future__ import annotations

from collections.abc import Iterable

from api.services.errors import ConflictError, NotFoundError, UnprocessableError
from api.services.ports import Store, UnitOfWork
from api.services.versions import Expectation, tag_of
from schemas.pages import HouseRule
from schemas.rules import RuleSetting
from solver import rules as engine
from solver.errors import Fault

MOST_OF_ONE_RULE = 12
"""Settings of one rule."""
MOST_SETTINGS = 100
"""Settings of all rules together, as many as a day book holds."""


def settings_of(own: Iterable[RuleSetting]) -> tuple[RuleSetting, ...]:
    """The house's defaults; where the salon has settings of its own of a rule, those instead."""
    stated = tuple(own)
    codes = {setting.code for setting in stated}
    left = (setting for setting in engine.default_settings() if setting.code not in codes)
    return (*left, *stated)


async def set_alone(unit: UnitOfWork, settings: Iterable[RuleSetting]) -> None:
    """These settings in place of all that the salon had of their rules."""
    fresh = tuple(settings)
    codes = {setting.code for setting in fresh}
    keys = {setting.key for setting in fresh}
    for old in await unit.rules.all():
        if old.code in codes and old.key not in keys:
            await unit.rules.remove(old.key)
    for setting in fresh:
        await unit.rules.put(setting)


class HouseRules:
    """Read them, set one, go back to the default."""

    def __init__(self, store: Store) -> None:
        self.store = store

    async def all(self) -> tuple[HouseRule, ...]:
        async with self.store.reading() as unit:
            return await _all(unit)

    async def read(self, code: str) -> HouseRule:
        async with self.store.reading() as unit:
            return await _read(unit, code)

    async def set(self, code: str, setting: RuleSetting, seen: Expectation) -> HouseRule:
        """The only setting of that rule from now on.

        Raises UnprocessableError naming the parameter that is out of range.
        """
        _require_same(setting.code, code, "/code")
        await self.read(code)
        _require_good(setting)
        async with self.store.writing() as unit:
            there = await _read(unit, code)
            seen.require_tag(tag_of(there), own=there.own)
            await set_alone(unit, (setting,))
            return await _read(unit, code)

    async def reset(self, code: str, seen: Expectation) -> HouseRule:
        """The house's default holds again."""
        async with self.store.writing() as unit:
            there = await _read(unit, code)
            seen.require_tag(tag_of(there), own=there.own)
            for setting in await unit.rules.all():
                if setting.code == code:
                    await unit.rules.remove(setting.key)
            return await _read(unit, code)

    async def read_setting(self, code: str, label: str) -> RuleSetting:
        """The salon's own setting of that label."""
        async with self.store.reading() as unit:
            return await _read_setting(unit, code, label)

    async def put_setting(
        self, code: str, label: str, setting: RuleSetting, seen: Expectation
    ) -> RuleSetting:
        """One setting more of a rule that may be set several times, or the one of that label anew.

        Raises ConflictError where the rule may be set only once or there are too many.
        """
        repeatable = (await self.read(code)).description.repeatable
        _require_same(setting.code, code, "/code")
        _require_same(setting.label, label, "/label")
        if not repeatable:
            raise ConflictError(f"{code} is set once: PUT /v1/rules/{code}")
        _require_good(setting)
        async with self.store.writing() as unit:
            there = await unit.rules.get(setting.key)
            seen.require_tag(None if there is None else tag_of(there.document))
            await unit.rules.put(setting)
            own = await unit.rules.all()
            if sum(each.code == code for each in own) > MOST_OF_ONE_RULE:
                raise ConflictError(f"{code} has {MOST_OF_ONE_RULE} settings: remove one first")
            if len(settings_of(own)) > MOST_SETTINGS:
                raise ConflictError(f"there are {MOST_SETTINGS} settings: remove one first")
        return setting

    async def remove_setting(self, code: str, label: str, seen: Expectation) -> HouseRule:
        """Without any setting of its own, the house's default holds again."""
        async with self.store.writing() as unit:
            setting = await _read_setting(unit, code, label)
            seen.require_tag(tag_of(setting))
            await unit.rules.remove(setting.key)
            return await _read(unit, code)


async def _all(unit: UnitOfWork) -> tuple[HouseRule, ...]:
    own = await unit.rules.all()
    stated = {setting.code for setting in own}
    in_force = settings_of(own)
    return tuple(
        HouseRule(
            description=description,
            setting=next((each for each in in_force if each.code == description.code), None),
            settings=tuple(each for each in in_force if each.code == description.code),
            own=description.code in stated,
        )
        for description in engine.describe()
    )


async def _read(unit: UnitOfWork, code: str) -> HouseRule:
    for rule in await _all(unit):
        if rule.description.code == code:
            return rule
    raise NotFoundError("rule", code)


async def _read_setting(unit: UnitOfWork, code: str, label: str) -> RuleSetting:
    for setting in (await _read(unit, code)).settings:
        if setting.label == label:
            return setting
    raise NotFoundError(f"setting of {code} labelled", label)


def _require_same(stated: str | None, path: str, pointer: str) -> None:
    if stated != path:
        raise UnprocessableError(Fault(pointer, f"must be {path}, as in the path"))


def _require_good(setting: RuleSetting) -> None:
    wrong = tuple(engine.rule(setting.code).faults(setting))
    if wrong:
        raise UnprocessableError(*wrong)
