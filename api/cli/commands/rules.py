"""`partline rules`: the rules the engine knows, with their parameters."""

from __future__ import annotations

from api.cli.options import Json
from api.cli.outlet import Outlet
from api.cli.tables.words import DASH, cell, plain_table
from schemas.rules import RuleDescription
from solver.rules import default_settings, describe


def rules(machine: Json = False) -> None:
    """List the rules: code, sentence, parameters with their defaults."""
    outlet = Outlet(machine)
    known = describe()
    if machine:
        outlet.json(known)
        return
    house = {setting.code: setting for setting in default_settings()}
    table = plain_table("rule", "what it says", "parameters", "by default")
    for rule in known:
        setting = house.get(rule.code)
        if rule.always_hard:
            held = "always hard"
        elif setting is None or not setting.on:
            held = "off"
        else:
            held = "hard" if setting.hard else f"soft, weight {setting.weight}"
        table.add_row(rule.code, cell(rule.sentence), cell(_parameters(rule)), held)
    outlet.show(table)


def _parameters(rule: RuleDescription) -> str:
    properties = rule.parameters.get("properties", {})
    if not isinstance(properties, dict) or not properties:
        return DASH
    return "\n".join(
        f"{name}={known['default']}" if "default" in known else name
        for name, known in properties.items()
    )
