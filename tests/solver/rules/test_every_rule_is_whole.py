"""Rules = checkers = constraints = tests, and every rule speaks.

Files are read, not imported, so that the guard needs no solver engine.
"""

from __future__ import annotations

import ast
import inspect
from pathlib import Path

import pytest

from solver.rules import RULES, default_settings, describe

ROOT = Path(__file__).resolve().parents[3]
CODES = {rule.code for rule in RULES}


def assigned(folder: Path, name: str) -> dict[str, ast.expr]:
    """The module-level value of `name` in each file of the folder that has one."""
    found = {}
    for path in folder.glob("*.py"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.Assign):
                names = {target.id for target in node.targets if isinstance(target, ast.Name)}
                if name in names:
                    found[path.stem] = node.value
    return found


def code_of(module: str) -> str:
    return module.replace("_", "-")


def test_codes_are_used_once():
    assert len(CODES) == len(RULES)


def test_every_module_with_a_rule_is_in_the_register():
    assert {code_of(module) for module in assigned(ROOT / "solver/rules", "RULE")} == CODES


def test_every_rule_has_a_constraint_of_its_own():
    constraints = assigned(ROOT / "solver/model/constraints", "CODE")
    assert {ast.literal_eval(code) for code in constraints.values()} == CODES
    assert {code_of(module) for module in constraints} == CODES


def test_every_rule_has_a_test_file_of_its_own():
    files = {path.stem for path in Path(__file__).parent.glob("test_*.py")}
    assert {code_of(name.removeprefix("test_")) for name in files} >= CODES


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_a_rules_test_file_names_its_code_and_expects_breaches(rule):
    path = Path(__file__).parent / f"test_{rule.code.replace('-', '_')}.py"
    tree = ast.parse(path.read_text(encoding="utf-8"))
    tests = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    ]
    assert f'CODE = "{rule.code}"' in path.read_text(encoding="utf-8")
    assert len(tests) >= 4


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_every_rule_has_a_sentence_and_its_module_says_how_it_judges(rule):
    assert rule.sentence.endswith(".")
    assert len(rule.sentence) > 20
    assert inspect.getmodule(rule.check).__doc__


@pytest.mark.parametrize("described", describe(), ids=lambda described: described.code)
def test_every_parameter_is_bounded_explained_and_has_a_default(described):
    for name, schema in described.parameters.get("properties", {}).items():
        assert {"description", "default"} <= schema.keys(), name
        bounded = {"minimum", "maximum"} <= schema.keys()
        assert bounded or {"pattern", "enum"} & schema.keys(), name
    assert described.parameters["additionalProperties"] is False


def test_the_house_defaults_are_every_rule_a_salon_may_set():
    assert {each.code for each in default_settings()} == {
        rule.code for rule in RULES if not rule.always_hard
    }


def test_what_always_holds_has_nothing_to_set():
    for rule in RULES:
        if rule.always_hard:
            assert not rule.parameters.model_fields
            assert not rule.scopes


def test_every_rule_that_a_salon_may_set_is_in_the_developers_guide():
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert {
        rule.code for rule in RULES if not rule.always_hard and f"`{rule.code}`" not in guide
    } == set()
