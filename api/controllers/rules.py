"""The rules of the house, and laws on breaks to set them by."""

from __future__ import annotations

from litestar import Controller, Response, delete, get, post, put
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.controllers.answers import seen, shown
from api.controllers.operations import EDITS, FINDS, READS, REMOVES, RETIRES, refuses
from api.controllers.parameters import IfMatch, ItemName, Name
from api.services.desk import Desk
from schemas.pages import BreakLawPage, HouseRule, RulePage
from schemas.rules import BreakLaw, RuleSetting


class RuleController(Controller):
    path = "/rules"
    tags = ("rules",)

    @get(operation_id="listRules", summary="List the rules", opt=refuses(READS))
    async def list_rules(self, desk: NamedDependency[Desk]) -> RulePage:
        """Every rule the engine knows, in one page, with its parameters and what is in force."""
        return RulePage(items=await desk.rules.all())

    @get(
        "/{id:str}", operation_id="readRule", summary="Read a rule", opt=refuses(FINDS, tagged=True)
    )
    async def read_rule(self, desk: NamedDependency[Desk], name: Name) -> Response[HouseRule]:
        """One rule by its code."""
        return shown(await desk.rules.read(name))

    @put("/{id:str}", operation_id="setRule", summary="Set a rule", opt=refuses(EDITS, tagged=True))
    async def set_rule(
        self,
        desk: NamedDependency[Desk],
        name: Name,
        data: JSONBody[RuleSetting],
        if_match: IfMatch = "",
    ) -> Response[HouseRule]:
        """Switch it on or off, make it hard or soft, set its parameters and whom it concerns.

        It is the only setting of the rule from then on.
        """
        return shown(await desk.rules.set(name, data, seen(if_match)))

    @delete(
        "/{id:str}",
        operation_id="resetRule",
        summary="Go back to the default of a rule",
        status_code=200,
        opt=refuses(RETIRES, tagged=True),
    )
    async def reset_rule(
        self, desk: NamedDependency[Desk], name: Name, if_match: IfMatch = ""
    ) -> Response[HouseRule]:
        """The salon's own settings of it are forgotten and the house's default holds."""
        return shown(await desk.rules.reset(name, seen(if_match)))

    @get(
        "/{id:str}/settings/{item:str}",
        operation_id="readRuleSetting",
        summary="Read one of several settings of a rule",
        opt=refuses(FINDS, tagged=True),
    )
    async def read_rule_setting(
        self, desk: NamedDependency[Desk], name: Name, item: ItemName
    ) -> Response[RuleSetting]:
        """By the code of the rule and the label of the setting."""
        return shown(await desk.rules.read_setting(name, item))

    @put(
        "/{id:str}/settings/{item:str}",
        operation_id="putRuleSetting",
        summary="Set a rule once more, by a label",
        opt=refuses(EDITS, tagged=True),
    )
    async def put_rule_setting(
        self,
        desk: NamedDependency[Desk],
        name: Name,
        item: ItemName,
        data: JSONBody[RuleSetting],
        if_match: IfMatch = "",
    ) -> Response[RuleSetting]:
        """For a rule that may be set several times, with other figures or other tags.

        All its settings hold together; the first of the salon's own takes the default's place.
        """
        return shown(await desk.rules.put_setting(name, item, data, seen(if_match)))

    @delete(
        "/{id:str}/settings/{item:str}",
        operation_id="removeRuleSetting",
        summary="Remove one of several settings of a rule",
        status_code=200,
        opt=refuses(RETIRES),
    )
    async def remove_rule_setting(
        self, desk: NamedDependency[Desk], name: Name, item: ItemName, if_match: IfMatch = ""
    ) -> HouseRule:
        """The others stay; with the last of them gone, the house's default holds."""
        return await desk.rules.remove_setting(name, item, seen(if_match))


class BreakLawController(Controller):
    path = "/break-laws"
    tags = ("rules",)

    @get(operation_id="listBreakLaws", summary="List laws on breaks", opt=refuses(READS))
    async def list_break_laws(self, desk: NamedDependency[Desk]) -> BreakLawPage:
        """Each with its article, its settings, and what the law asks beyond them.

        General information and not legal advice: check your local code.
        """
        return BreakLawPage(items=await desk.break_laws.all())

    @get(
        "/{id:str}",
        operation_id="readBreakLaw",
        summary="Read a law on breaks",
        opt=refuses(FINDS),
    )
    async def read_break_law(self, desk: NamedDependency[Desk], name: Name) -> BreakLaw:
        """One law by its code, and whether the salon goes by it."""
        return await desk.break_laws.read(name)

    @post(
        "/{id:str}/adoption",
        operation_id="adoptBreakLaw",
        summary="Set the rules by a law on breaks",
        status_code=200,
        opt=refuses(REMOVES),
    )
    async def adopt_break_law(self, desk: NamedDependency[Desk], name: Name) -> RulePage:
        """All its settings in one go, in place of the salon's own of these rules.

        What another law had set goes with it; the answer is the rules that this one sets.
        """
        return RulePage(items=await desk.break_laws.adopt(name))
