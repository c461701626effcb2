"""The rules of the house as data: what the engine knows, and what the salon has set."""

from __future__ import annotations

from collections.abc import Iterable

from api.services.errors import NotFoundError, UnprocessableError
from api.services.ports import Store
from schemas.pages import HouseRule
from schemas.rules import RuleSetting
from solver import rules as engine
from solver.errors import Fault


def settings_of(own: Iterable[RuleSetting]) -> tuple[RuleSetting, ...]:
    """The house's defaults with the salon's own settings in their place."""
    merged = {setting.code: setting for setting in engine.default_settings()}
    merged |= {setting.code: setting for setting in own}
    return tuple(merged.values())


class HouseRules:
    """Read them, set one, go back to the default."""

    def __init__(self, store: Store) -> None:
        self.store = store

    async def all(self) -> tuple[HouseRule, ...]:
        async with self.store.reading() as unit:
            own = {setting.code: setting for setting in await unit.rules.all()}
        in_force = {setting.code: setting for setting in settings_of(own.values())}
        return tuple(
            HouseRule(
                description=description,
                setting=in_force.get(description.code),
                own=description.code in own,
            )
            for description in engine.describe()
        )

    async def read(self, code: str) -> HouseRule:
        for rule in await self.all():
            if rule.description.code == code:
                return rule
        raise NotFoundError("rule", code)

    async def set(self, code: str, setting: RuleSetting) -> HouseRule:
        """Raises UnprocessableError naming the parameter that is out of range."""
        if setting.code != code:
            raise UnprocessableError(Fault("/code", f"must be {code}, as in the path"))
        await self.read(code)
        _require_good(setting)
        async with self.store.writing() as unit:
            await unit.rules.put(setting)
        return await self.read(code)

    async def reset(self, code: str) -> HouseRule:
        """The house's default holds again."""
        await self.read(code)
        async with self.store.writing() as unit:
            await unit.rules.remove(code)
        return await self.read(code)


def _require_good(setting: RuleSetting) -> None:
    wrong = tuple(engine.rule(setting.code).faults(setting))
    if wrong:
        raise UnprocessableError(*wrong)
