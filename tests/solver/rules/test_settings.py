"""Which settings a plan is held to, and which are refused."""

from __future__ import annotations

import pytest

from schemas.rules import RuleScope
from solver.errors import RuleError
from solver.rules import RULES, MealBreak, default_settings, rule, settings_in_force
from tests.builders import a_day_book, a_setting

ALWAYS = [each.code for each in RULES if each.always_hard]


def codes(rules):
    return [setting.code for setting in settings_in_force(a_day_book(rules=rules))]


def faults(*rules):
    with pytest.raises(RuleError) as refused:
        settings_in_force(a_day_book(rules=rules))
    return {fault.pointer: fault.detail for fault in refused.value.faults}


def test_a_day_book_that_lists_no_rules_has_the_house_defaults():
    house = [setting.code for setting in default_settings() if setting.on]
    assert codes(None) == [*ALWAYS, *house]


def test_an_empty_list_leaves_what_always_holds():
    assert codes(()) == ALWAYS


def test_a_rule_that_is_listed_but_off_is_not_in_force():
    assert codes((a_setting("turnaround", on=False),)) == ALWAYS


def test_a_parameter_left_out_takes_its_default():
    day_book = a_day_book(rules=(a_setting("meal-break", minutes=45),))
    (setting,) = (each for each in settings_in_force(day_book) if each.code == "meal-break")
    assert rule("meal-break").read(setting) == MealBreak(minutes=45)
    assert setting.parameters["after"] == 360


def test_naming_a_rule_that_always_holds_changes_nothing():
    assert codes((a_setting("opening-hours"),)) == ALWAYS


def test_an_unknown_rule_is_refused_with_the_rules_there_are():
    told = faults(a_setting("no-mondays"))
    assert "there is no rule no-mondays" in told["/rules/0/code"]
    assert "meal-break" in told["/rules/0/code"]


def test_a_rule_listed_twice_is_refused_at_the_second():
    assert set(faults(a_setting("turnaround"), a_setting("turnaround"))) == {"/rules/1/code"}


@pytest.mark.parametrize(
    ("setting", "pointer"),
    [
        (a_setting("turnaround", minutes=-1), "/rules/0/parameters/minutes"),
        (a_setting("turnaround", minutes="ten"), "/rules/0/parameters/minutes"),
        (a_setting("turnaround", minute=10), "/rules/0/parameters/minute"),
        (a_setting("meal-break", inside=2), "/rules/0/parameters/inside"),
        (a_setting("meal-break", earliest=301), "/rules/0/parameters"),
        (a_setting("opening-hours", after=1), "/rules/0/parameters/after"),
        (a_setting("opening-hours", on=False), "/rules/0/on"),
        (a_setting("opening-hours", hard=False), "/rules/0/hard"),
        (a_setting("turnaround", staff_tags=("minor",)), "/rules/0/scope/staff_tags"),
    ],
)
def test_a_bad_setting_is_refused_with_the_pointer_to_the_field(setting, pointer):
    assert set(faults(setting)) == {pointer}


def test_a_scope_the_rule_does_not_look_at_is_told_with_what_it_looks_at():
    told = faults(a_setting("turnaround", staff_tags=("minor",)))
    assert told["/rules/0/scope/staff_tags"] == (
        "turnaround looks at chair_tags, not at staff_tags"
    )
    told = faults(a_setting("opening-hours", staff_tags=("minor",)))
    assert "looks at no tags" in told["/rules/0/scope/staff_tags"]


def test_asking_for_an_unknown_rule_is_refused():
    with pytest.raises(RuleError, match="there is no rule no-mondays"):
        rule("no-mondays")


def test_every_scope_a_rule_names_exists():
    assert {scope for each in RULES for scope in each.scopes} <= set(RuleScope.model_fields)
