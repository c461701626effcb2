"""The rules of the house."""

from __future__ import annotations

from litestar import Controller, delete, get, put
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.operations import ADDS_BELOW, FINDS, READS, REMOVES, refuses
from api.controllers.parameters import Name
from api.services.desk import Desk
from schemas.pages import HouseRule, RulePage
from schemas.rules import RuleSetting


class RuleController(Controller):
    path = "/rules"
    tags = ("rules",)

    @get(operation_id="listRules", summary="List the rules", opt=refuses(READS))
    async def list_rules(self, desk: NamedDependency[Desk]) -> RulePage:
        """Every rule the engine knows, in one page, with its parameters and what is in force."""
        return RulePage(items=await desk.rules.all())

    @get("/{id:str}", operation_id="readRule", summary="Read a rule", opt=refuses(FINDS))
    async def read_rule(self, desk: NamedDependency[Desk], name: Name) -> HouseRule:
        """One rule by its code."""
        return await desk.rules.read(name)

    @put("/{id:str}", operation_id="setRule", summary="Set a rule", opt=refuses(ADDS_BELOW))
    async def set_rule(
        self, desk: NamedDependency[Desk], name: Name, data: JSONBody[RuleSetting]
    ) -> HouseRule:
        """Switch it on or off, make it hard or soft, set its parameters and whom it concerns."""
        return await desk.rules.set(name, data)

    @delete(
        "/{id:str}",
        operation_id="resetRule",
        summary="Go back to the default of a rule",
        status_code=200,
        opt=refuses(REMOVES),
    )
    async def reset_rule(self, desk: NamedDependency[Desk], name: Name) -> HouseRule:
        """The salon's own setting is forgotten and the house's default holds."""
        return await desk.rules.reset(name)
