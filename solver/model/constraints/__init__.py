"""One file for each rule. They share no code with the checkers, and meet them only in the code.

The order matters in one place: breaks are made before the phases they stretch get their duration.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from solver.model.breaks import relate_breaks
from solver.model.constraints import (
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
from solver.model.facts import Day
from solver.model.placement import DayPlacement, VisitPlacement
from solver.model.variables import DayModel

CONSTRAINTS: dict[str, Callable[[DayModel], None]] = {
    module.CODE: module.post
    for module in (
        overtime,
        opening_hours,
        client_window,
        promise_kept,
        skilled_hands,
        meal_break,
        second_meal,
        break_total,
        meal_window,
        rest_breaks,
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
        early_help,
        latest_start,
        longest_stretch,
        daily_hours,
        weekly_hours,
        rest_between_days,
        weekly_rest,
        at_most_together,
        supervised_apprentice,
        hair_on_hand,
        fewest_changes,
        no_small_holes,
        resource_closed,
        even_shares,
    )
}
ALLOWS: dict[str, Callable[[Day, Iterable[VisitPlacement], VisitPlacement], bool]] = {
    latest_start.CODE: latest_start.allows,
    at_most_together.CODE: at_most_together.allows,
    supervised_apprentice.CODE: supervised_apprentice.allows,
    hair_on_hand.CODE: hair_on_hand.allows,
    resource_closed.CODE: resource_closed.allows,
}
"""Rules that the greedy start asks whether one more visit may stand beside those on the board."""
COSTS: dict[str, Callable[[Day, DayPlacement], int]] = {
    latest_start.CODE: latest_start.cost,
    longest_stretch.CODE: longest_stretch.cost,
    daily_hours.CODE: daily_hours.cost,
    weekly_hours.CODE: weekly_hours.cost,
    rest_between_days.CODE: rest_between_days.cost,
    weekly_rest.CODE: weekly_rest.cost,
    at_most_together.CODE: at_most_together.cost,
    supervised_apprentice.CODE: supervised_apprentice.cost,
    hair_on_hand.CODE: hair_on_hand.cost,
    fewest_changes.CODE: fewest_changes.cost,
    no_small_holes.CODE: no_small_holes.cost,
    resource_closed.CODE: resource_closed.cost,
    even_shares.CODE: even_shares.cost,
    overtime.CODE: overtime.cost,
    early_help.CODE: early_help.cost,
}
"""What rules of the house cost in a placement where they are soft."""


def post_all(model: DayModel) -> None:
    """Post every rule; a rule that is not in force posts nothing."""
    for post in CONSTRAINTS.values():
        post(model)
    relate_breaks(model)
    for visit in model.visits:
        model.cp.add_linear_expression_in_domain(visit.start, visit.reach)
