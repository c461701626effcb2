"""The rules of the salon, one module each: sentence, parameters, checker.

`RULES` is the register. Rules that always hold come first and are always in force; the others hold
where the day book lists them, or by the house defaults where it lists none at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from schemas.daybook import DayBook
from schemas.rules import RuleDescription, RuleSetting
from solver.errors import Fault, RuleError
from solver.rules import (
    at_most_together,
    basin_one_client,
    break_total,
    chair_one_client,
    client_window,
    daily_hours,
    early_help,
    even_shares,
    fewest_changes,
    fitting_chair,
    hair_on_hand,
    hands_one_client,
    latest_start,
    longest_stretch,
    longest_wait,
    meal_break,
    meal_window,
    no_small_holes,
    opening_hours,
    overtime,
    preferred_lead,
    preferred_time,
    promise_kept,
    resource_closed,
    rest_between_days,
    rest_breaks,
    second_meal,
    skilled_hands,
    supervised_apprentice,
    turnaround,
    weekly_hours,
    weekly_rest,
    within_shift,
    work_done,
)
from solver.rules.break_total import BreakTotal
from solver.rules.longest_wait import LongestWait
from solver.rules.meal_break import MealBreak
from solver.rules.meal_window import MealWindow
from solver.rules.rest_breaks import RestBreaks
from solver.rules.rule import Breach, NoParameters, Parameters, Rule
from solver.rules.second_meal import SecondMeal
from solver.rules.turnaround import Turnaround

RULES: tuple[Rule[Any], ...] = (
    chair_one_client.RULE,
    basin_one_client.RULE,
    hands_one_client.RULE,
    skilled_hands.RULE,
    fitting_chair.RULE,
    opening_hours.RULE,
    within_shift.RULE,
    overtime.RULE,
    client_window.RULE,
    promise_kept.RULE,
    work_done.RULE,
    meal_break.RULE,
    second_meal.RULE,
    break_total.RULE,
    meal_window.RULE,
    rest_breaks.RULE,
    longest_stretch.RULE,
    daily_hours.RULE,
    weekly_hours.RULE,
    rest_between_days.RULE,
    weekly_rest.RULE,
    turnaround.RULE,
    longest_wait.RULE,
    preferred_lead.RULE,
    preferred_time.RULE,
    early_help.RULE,
    latest_start.RULE,
    at_most_together.RULE,
    supervised_apprentice.RULE,
    hair_on_hand.RULE,
    fewest_changes.RULE,
    no_small_holes.RULE,
    resource_closed.RULE,
    even_shares.RULE,
)
"""Every rule the engine knows, in the order in which findings are told."""

_BY_CODE = {rule.code: rule for rule in RULES}


def rule(code: str) -> Rule[Any]:
    """The rule of that code. Raises `RuleError` at `/code`, with the codes there are."""
    known = _BY_CODE.get(code)
    if known is None:
        raise RuleError(Fault("/code", _unknown(code)))
    return known


def describe() -> tuple[RuleDescription, ...]:
    """What an owner reads of every rule: sentence, defaults, JSON Schema of the parameters."""
    return tuple(rule.description() for rule in RULES)


def default_settings() -> tuple[RuleSetting, ...]:
    """The house defaults of the rules that a salon may set, every parameter spelled out.

    Those that wait for the salon to want them are among them, switched off.
    """
    return tuple(rule.setting() for rule in RULES if not rule.always_hard)


def settings_in_force(day_book: DayBook) -> tuple[RuleSetting, ...]:
    """The settings a plan is held to, in the order of `RULES`.

    Parameters left out of a listed setting are filled in. Raises `RuleError` with a JSON pointer
    into the day book for an unknown code, a code listed twice or a bad parameter. A rule that may
    be set several times gives several settings, told apart by their labels.
    """
    faults = tuple(setting_faults(day_book))
    if faults:
        raise RuleError(*faults)
    always = tuple(rule.setting() for rule in RULES if rule.always_hard)
    if day_book.rules is None:
        return (*always, *(setting for setting in default_settings() if setting.on))
    return always + tuple(
        _filled(rule, setting)
        for rule in RULES
        if not rule.always_hard
        for setting in day_book.rules
        if setting.on and setting.code == rule.code
    )


def setting_faults(day_book: DayBook) -> Iterator[Fault]:
    """What is wrong with the rules a day book lists."""
    seen: dict[str, set[str | None]] = {}
    for index, setting in enumerate(day_book.rules or ()):
        pointer = f"/rules/{index}"
        labels = seen.setdefault(setting.code, set())
        repeatable = setting.code in _BY_CODE and _BY_CODE[setting.code].repeatable
        if labels and not repeatable:
            yield Fault(f"{pointer}/code", f"{setting.code} is listed twice; keep one")
        elif setting.label in labels:
            named = f"labelled {setting.label}" if setting.label else "without a label"
            yield Fault(
                f"{pointer}/label",
                f"{setting.code} is listed twice {named}; give each a label of its own",
            )
        labels.add(setting.label)
        if setting.code in _BY_CODE:
            yield from _BY_CODE[setting.code].faults(setting, pointer)
        else:
            yield Fault(f"{pointer}/code", _unknown(setting.code))


def _filled(rule: Rule[Any], setting: RuleSetting) -> RuleSetting:
    return setting.model_copy(update={"parameters": rule.read(setting).model_dump()})


def _unknown(code: str) -> str:
    return f"there is no rule {code}; there are {', '.join(_BY_CODE)}"


__all__ = [
    "RULES",
    "Breach",
    "BreakTotal",
    "LongestWait",
    "MealBreak",
    "MealWindow",
    "NoParameters",
    "Parameters",
    "RestBreaks",
    "Rule",
    "SecondMeal",
    "Turnaround",
    "default_settings",
    "describe",
    "rule",
    "setting_faults",
    "settings_in_force",
]
