"""The plan as a constraint model (CP-SAT): a model for each day, a file for each rule.

`facts` restates a day in grid steps, `variables` makes the decisions, `constraints` posts the
rules, `objective` ranks the goals, `bounds` proves, `search` solves, `conflict` explains what
cannot be.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from solver.model.ceiling import ceiling
from solver.model.constraints import post_all
from solver.model.facts import Day
from solver.model.greedy import Greedy
from solver.model.objective import Goal, goals
from solver.model.placement import DayPlacement
from solver.model.search import CROWDED, Budget, DayOutcome, OnTier, solve_tiers
from solver.model.variables import DayModel, Obstacle, build_variables

GREEDY_SHARES = ((CROWDED * 8, 0.15), (600, 0.5))
"""Share of the day's time that the greedy start may take, by visits times shifts at the most."""
GREEDY_SHARE_BEYOND = 0.9
"""The same on a larger day, for which the model that follows is too large to find anything."""


@dataclass(frozen=True)
class DayAnswer:
    """What solving one day gave, and the obstacles seen before any search."""

    outcome: DayOutcome
    obstacles: tuple[Obstacle, ...]

    @property
    def forbidding(self) -> tuple[Obstacle, ...]:
        """The obstacles that make the day infeasible by themselves."""
        return tuple(
            obstacle for obstacle in self.obstacles if obstacle.visit is None or obstacle.visit.must
        )


def solve_day(day: Day, budget: Budget, report: OnTier) -> DayAnswer:
    """Build the day's model and solve it within the budget."""
    model = build_variables(day)
    post_all(model)
    answer = DayAnswer(DayOutcome(None, infeasible=True), tuple(model.obstacles))
    if answer.forbidding:
        return answer
    listing = goals(model)
    start, listing = _first_plan(model, listing, budget, report)
    return DayAnswer(solve_tiers(model, listing, budget, start, report), answer.obstacles)


def _first_plan(
    model: DayModel, listing: tuple[Goal, ...], budget: Budget, report: OnTier
) -> tuple[DayPlacement | None, tuple[Goal, ...]]:
    """A placement from the greedy start, told as it gets better; None where it finds none.

    The goals come back with what is known of how much can be accepted at all.
    """
    first, *later = listing
    greedy = Greedy(model.day, budget.seed)
    size = len(model.visits) * len(model.day.shifts)
    part = next((part for most, part in GREEDY_SHARES if size <= most), GREEDY_SHARE_BEYOND)
    share = budget.part(budget.seconds * part)

    def better(_: DayPlacement) -> None:
        report(first, greedy.value, greedy.ceiling)

    greedy.begin(better)
    if greedy.value < greedy.worth and not share.over:
        top = ceiling(model.day, share.left)
        greedy.ceiling, greedy.guide = top.worth, top.leads
        first = replace(first, best_thinkable=top.worth)
        if not isinstance(first.expression, int):
            model.cp.add(first.expression <= top.worth)
    greedy.run(lambda: share.over, better)
    return greedy.best, (first, *later)
