"""Which promises of a day cannot all hold.

Bookings become droppable, as many as can be are kept, and for each one left out the kept ones in
its way are thinned out by deletion: a booking whose absence changes nothing is not to blame.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from solver.model.constraints import post_all
from solver.model.facts import Day, DayVisit
from solver.model.objective import Goal
from solver.model.search import Budget, run, solve
from solver.model.variables import DayModel, build_variables


@dataclass(frozen=True)
class Conflict:
    """`dropped` cannot be kept beside `others`; `minimal` if each of them is needed for that."""

    dropped: DayVisit
    others: tuple[DayVisit, ...]
    kept: int
    """How many of the day's promises can be kept together."""
    promised: int
    minimal: bool


def conflicts(day: Day, budget: Budget) -> tuple[Conflict, ...]:
    """The conflicts among the day's promises; empty where the time did not do to find them."""
    promised = [visit for visit in day.visits if visit.must]
    kept = _keep_most(day, promised, budget.part(budget.left * 0.5))
    if kept is None:
        return ()
    dropped = [visit for visit in promised if visit not in kept]
    found = []
    for number, visit in enumerate(dropped):
        share = budget.part(budget.left / (len(dropped) - number))
        others, minimal = _in_the_way(day, visit, kept, share)
        found.append(Conflict(visit, others, len(kept), len(promised), minimal))
    return tuple(found)


def _model(day: Day, visits: list[DayVisit], must: bool) -> DayModel:
    """The day with these visits alone, all of them promised or all of them droppable."""
    renumbered = tuple(
        replace(visit, index=index, must=must, value=1) for index, visit in enumerate(visits)
    )
    model = build_variables(replace(day, visits=renumbered))
    post_all(model)
    return model


def _keep_most(day: Day, promised: list[DayVisit], budget: Budget) -> list[DayVisit] | None:
    model = _model(day, promised, must=False)
    count = sum(visit.present for visit in model.visits)
    goal = Goal("kept", "Keep as many promises as can be.", True, count, 1, len(promised))
    answer = solve(model, goal, budget, lambda *_: None)
    if answer.placement is None:
        return None
    return [promised[placed.visit] for placed in answer.placement.visits]


def _in_the_way(
    day: Day, dropped: DayVisit, kept: list[DayVisit], budget: Budget
) -> tuple[tuple[DayVisit, ...], bool]:
    """The kept visits that `dropped` cannot stand beside, thinned out as far as time allows."""
    blamed, minimal = list(kept), True
    for visit in kept:
        if budget.over:
            # Building the models takes time too, even where none is left to solve them.
            return tuple(blamed), False
        without = [other for other in blamed if other is not visit]
        model = _model(day, [dropped, *without], must=True)
        if any(obstacle.visit is None or obstacle.visit.must for obstacle in model.obstacles):
            blamed = without
            continue
        status = run(model.cp, budget)
        if status == cp_model.INFEASIBLE:
            blamed = without
        elif status == cp_model.UNKNOWN:
            minimal = False
    return tuple(blamed), minimal
