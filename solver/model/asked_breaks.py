"""Every break that the rules in force ask of a day."""

from __future__ import annotations

from collections.abc import Iterator

from solver.model.constraints import break_total, meal_break, meal_window, rest_breaks, second_meal
from solver.model.dues import Due
from solver.model.facts import Day

BREAK_RULES = (meal_break, second_meal, break_total, meal_window, rest_breaks)
"""The rules that ask for breaks; a break that another follows comes first."""


def dues_of(day: Day) -> Iterator[Due]:
    """Every due break that is still to be given, those that fit nowhere too."""
    for module in BREAK_RULES:
        yield from (due for due in module.dues(day) if due.key not in day.answered)
