"""The plan as a constraint model (CP-SAT): a model for each day, a file for each rule.

`facts` restates a day in grid steps, `variables` makes the decisions, `constraints` posts the
rules, `objective` ranks the goals, `bounds` proves, `search` solves, `conflict` explains what
cannot be.
"""

from __future__ import annotations

from dataclasses import dataclass

from solver.model.constraints import post_all
from solver.model.facts import Day
from solver.model.greedy import Greedy
from solver.model.objective import Goal, goals
from solver.model.placement import DayPlacement
from solver.model.search import CROWDED, Budget, DayOutcome, OnTier, solve_tiers
from solver.model.variables import DayModel, Obstacle, build_variables

GREEDY_SHARE = 0.15
"""Share of the day's time that the greedy start may take at most."""
GREEDY_SHARE_CROWDED = 0.35
"""The same on a crowded day, where it finds more than the search that follows."""


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
    start = _first_plan(model, listing[0], budget, report)
    return DayAnswer(solve_tiers(model, listing, budget, start, report), answer.obstacles)


def _first_plan(model: DayModel, goal: Goal, budget: Budget, report: OnTier) -> DayPlacement | None:
    """A placement from the greedy start, told as it gets better; None where it finds none."""
    greedy = Greedy(model.day, budget.seed)
    crowded = len(model.visits) > CROWDED
    share = budget.part(budget.seconds * (GREEDY_SHARE_CROWDED if crowded else GREEDY_SHARE))
    greedy.run(lambda: share.over, lambda _: report(goal, greedy.value, greedy.worth))
    return greedy.best
