"""The goals in their order. Each is solved, and kept while the next is looked at.

1. `accepted-value`: the worth of the requests that get a place, as large as can be.
2. `preferences`: what bending the soft rules costs, as small as can be.
3. `last-finish`: minutes from the opening to the end of the last visit.
4. `stay`: minutes clients spend in the salon, all visits together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from solver.model.cost import cost
from solver.model.facts import Day
from solver.model.placement import DayPlacement
from solver.model.variables import DayModel


@dataclass(frozen=True)
class Goal:
    """One tier. `factor` turns the model's unit into the unit people read."""

    name: str
    sentence: str
    maximised: bool
    expression: cp_model.LinearExprT
    factor: int
    best_thinkable: int
    """No plan can do better, whatever the search finds; in the model's unit."""


def accepting(day: Day) -> Goal:
    """The first tier as the facts of the day tell it, before there is a model."""
    worth = sum(visit.value for visit in day.visits if not visit.must)
    sentence = "Accept the requests that are worth most."
    return Goal("accepted-value", sentence, True, 0, 1, worth)


def goals(model: DayModel) -> tuple[Goal, ...]:
    """The four tiers of a day, most important first."""
    day, cp = model.day, model.cp
    low, high = day.horizon
    offered = [visit for visit in model.visits if not visit.facts.must]
    last = cp.new_int_var(low, high, "last finish")
    for visit in model.visits:
        cp.add(last >= visit.end).only_enforce_if(visit.present)
    must = [visit for visit in model.visits if visit.facts.must]
    return (
        replace(
            accepting(day),
            expression=sum(visit.facts.value * visit.present for visit in offered),
        ),
        Goal(
            "preferences",
            "Bend the soft rules as little as can be.",
            False,
            sum(model.penalties),
            1,
            0,
        ),
        Goal(
            "last-finish",
            "Let the last client leave early.",
            False,
            last - low,
            day.grid,
            0,
        ),
        Goal(
            "stay",
            "Keep no client longer than need be.",
            False,
            sum(visit.length for visit in model.visits),
            day.grid,
            len(must),
        ),
    )


def measured(model: DayModel, goal: Goal, placement: DayPlacement) -> int:
    """The goal's value for a placement, in the model's unit."""
    low, _ = model.day.horizon
    if goal.name == "accepted-value":
        return sum(model.visits[placed.visit].facts.value for placed in placement.visits)
    if goal.name == "last-finish":
        return max((placed.end for placed in placement.visits), default=low) - low
    if goal.name == "stay":
        return sum(placed.end - placed.start for placed in placement.visits)
    return cost(model.day, placement)
