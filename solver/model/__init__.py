"""The plan as a constraint model (CP-SAT): a model for each day, a file for each rule.

`facts` restates a day in grid steps, `variables` makes the decisions, `constraints` posts the
rules, `objective` ranks the goals, `bounds` proves, `search` solves, `conflict` explains what
cannot be.
"""

from __future__ import annotations

from dataclasses import dataclass

from solver.model.constraints import post_all
from solver.model.facts import Day
from solver.model.search import Budget, DayOutcome, OnTier, search
from solver.model.variables import Obstacle, build_variables


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
    return DayAnswer(search(model, budget, None, report), answer.obstacles)
