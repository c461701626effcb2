"""Laws on breaks and hours, and the salon's rules set by one of them in one go."""

from __future__ import annotations

from collections.abc import Collection

from api.services.errors import NotFoundError
from api.services.house_rules import HouseRules, set_alone
from api.services.ports import Store
from schemas.pages import HouseRule
from schemas.rules import BreakLaw, BreakPreset, RuleSetting
from solver.rules.presets import PRESETS


class BreakLaws:
    def __init__(self, store: Store, rules: HouseRules) -> None:
        self.store = store
        self.rules = rules

    async def all(self) -> tuple[BreakLaw, ...]:
        """Every law the engine knows, and whether the salon goes by it."""
        async with self.store.reading() as unit:
            own = await unit.rules.all()
        return tuple(BreakLaw(preset=preset, adopted=_holds(preset, own)) for preset in PRESETS)

    async def read(self, code: str) -> BreakLaw:
        for law in await self.all():
            if law.preset.code == code:
                return law
        raise NotFoundError("break law", code)

    async def adopt(self, code: str) -> tuple[HouseRule, ...]:
        """Its settings in place of the salon's own of these rules; the rules as they are then.

        What another law had set goes with it, unless the salon has changed it since.
        """
        law = (await self.read(code)).preset
        async with self.store.writing() as unit:
            for setting in await unit.rules.all():
                if any(setting in other.settings for other in PRESETS):
                    await unit.rules.remove(setting.key)
            await set_alone(unit, law.settings)
        codes = {setting.code for setting in law.settings}
        return tuple(rule for rule in await self.rules.all() if rule.description.code in codes)


def _holds(preset: BreakPreset, own: Collection[RuleSetting]) -> bool:
    codes = {setting.code for setting in preset.settings}
    return {each.key: each for each in own if each.code in codes} == {
        each.key: each for each in preset.settings
    }
