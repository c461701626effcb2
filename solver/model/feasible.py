"""Whether all visits of a day can have a place at all: no goals, only the hard rules."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from solver.model.bounds import post_bounds
from solver.model.constraints import post_all
from solver.model.facts import Day
from solver.model.greedy import Greedy
from solver.model.held import Held
from solver.model.holding import post_held
from solver.model.matching import match_breaks
from solver.model.objective import Goal
from solver.model.placement import DayPlacement
from solver.model.search import Budget, solve
from solver.model.variables import build_variables

GREEDY_SECONDS = 0.1
"""Time for the quick try; what it finds needs no search."""


@dataclass(frozen=True)
class Feasibility:
    """A placement of all visits, or the proof that there is none, or neither in the time."""

    placement: DayPlacement | None
    impossible: bool = False


def place_all(day: Day, budget: Budget, held: Held | None = None) -> Feasibility:
    """Place every visit of the day, or prove that the hard rules forbid it.

    `held` fixes what is not to move.
    """
    everyone = replace(day, visits=tuple(replace(visit, must=True) for visit in day.visits))
    model = build_variables(everyone)
    post_all(model)
    if any(obstacle.visit is None or obstacle.visit.must for obstacle in model.obstacles):
        return Feasibility(None, impossible=True)
    if held is None:
        greedy = Greedy(everyone, budget.seed)
        quick = budget.part(GREEDY_SECONDS)
        greedy.run(lambda: quick.over, lambda _: None)
        if greedy.best is not None:
            return Feasibility(greedy.best)
        post_bounds(model)
    else:
        post_held(model, held, match_breaks(everyone, held))
    anything = Goal("fits", "Place every visit.", False, cp_model.LinearExpr.sum([]), 1, 0)
    answer = solve(model, anything, budget, lambda *_: None)
    return Feasibility(answer.placement, answer.infeasible)
