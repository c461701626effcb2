"""One file for each rule. They share no code with the checkers, and meet them only in the code.

The order matters in one place: breaks are made before the phases they stretch get their duration.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from solver.model.constraints import (
    basin_one_client,
    chair_one_client,
    client_window,
    fitting_chair,
    hands_one_client,
    longest_wait,
    meal_break,
    opening_hours,
    preferred_lead,
    preferred_time,
    promise_kept,
    skilled_hands,
    turnaround,
    within_shift,
    work_done,
)
from solver.model.dues import Due
from solver.model.facts import Day
from solver.model.variables import DayModel

CONSTRAINTS: dict[str, Callable[[DayModel], None]] = {
    module.CODE: module.post
    for module in (
        opening_hours,
        client_window,
        promise_kept,
        skilled_hands,
        meal_break,
        work_done,
        within_shift,
        hands_one_client,
        fitting_chair,
        chair_one_client,
        turnaround,
        basin_one_client,
        longest_wait,
        preferred_lead,
        preferred_time,
    )
}

BREAK_RULES = (meal_break,)
"""The rules that ask for breaks; a break that another follows comes first."""


def dues_of(day: Day) -> Iterator[Due]:
    """Every break the rules in force ask for, those that fit nowhere too."""
    for module in BREAK_RULES:
        yield from module.dues(day)


def post_all(model: DayModel) -> None:
    """Post every rule; a rule that is not in force posts nothing."""
    for post in CONSTRAINTS.values():
        post(model)
    for visit in model.visits:
        model.cp.add_linear_expression_in_domain(visit.start, visit.reach)
