"""Make the ceiling lower: strike out days of leads that cannot be, alone or two beside one another.

The list of a lead's days takes help as if as many assistants as a visit allows were free at any
moment. Whether a day goes with the assistants there are, at their hours, a model of that day's
visits alone says in some hundredths of a second; so it does for the days of two leads at once.
Whatever cannot be with these visits alone cannot be with more: taking a visit out of a plan breaks
no rule. Each such refusal is made as small as it goes, struck out, and the choice of days is made
again (logic-based Benders decomposition: Hooker and Ottosson, Mathematical Programming 96, 2003).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import combinations

from ortools.sat.python import cp_model

from solver.model.choosing import Choice, Core, LeadChoice
from solver.model.constraints import post_all
from solver.model.facts import Day
from solver.model.search import Budget, run
from solver.model.variables import build_variables

CHECK_WORK = 0.5
"""Deterministic seconds of the solver for one such model; what it leaves open is let stand."""


def lowered(
    day: Day, choice: LeadChoice, first: Choice, enough: int, budget: Budget
) -> tuple[Choice, list[Core]]:
    """The choice once days that cannot be are struck out, and what was.

    It ends where nothing more is accepted than is already, at `enough`, where nothing is left to
    strike out, and where the budget is over.
    """
    best, cores, doubts = first, list[Core](), _Doubts(day, budget)
    while best.worth > enough and not budget.over:
        found = doubts.cores(best)
        choice.strike(found)
        cores += found
        again = choice.best(budget.left) if found and not budget.over else None
        if again is None:
            break
        best = Choice(min(best.worth, again.worth), again.days)
    return best, cores


@dataclass
class _Doubts:
    """Asks about days of leads, each question once."""

    day: Day
    budget: Budget
    asked: dict[Core, bool] = field(default_factory=dict)

    def cores(self, choice: Choice) -> list[Core]:
        """What in a choice cannot be: days of one lead; where these all go, of two."""
        days = [
            frozenset((visit, self.day.shifts[shift].person.id) for visit in each.visits)
            for shift, each in sorted(choice.days.items())
        ]
        alone = list(self._impossible(days))
        return alone or list(self._impossible([a | b for a, b in combinations(days, 2)]))

    def _impossible(self, days: list[Core]) -> Iterator[Core]:
        for each in days:
            if self._cannot(each):
                yield self._least(each)

    def _least(self, core: Core) -> Core:
        """As few of the visits as still cannot be."""
        for visit in sorted(core, key=lambda pair: self.day.visits[pair[0]].value):
            if len(core) > 1 and self._cannot(core - {visit}):
                core -= {visit}
        return core

    def _cannot(self, core: Core) -> bool:
        """Whether it is proved that the day's rules forbid these visits with these leads."""
        if core not in self.asked:
            if self.budget.over:
                return False
            self.asked[core] = forbidden(self.day, core, self.budget)
        return self.asked[core]


def forbidden(day: Day, core: Core, budget: Budget) -> bool:
    """Whether the visits cannot all be done with these leads, were nothing else on the day."""
    leads = dict(sorted(core))
    visits = tuple(
        replace(day.visits[visit], index=index, must=True) for index, visit in enumerate(leads)
    )
    model = build_variables(replace(day, visits=visits))
    post_all(model)
    if any(obstacle.visit is None or obstacle.visit.must for obstacle in model.obstacles):
        return True
    for visit, lead in zip(model.visits, leads.values(), strict=True):
        for person, literal in visit.leads.items():
            if person != lead:
                model.cp.add(literal == 0)
    alone = replace(budget.part(budget.left), workers=1)
    return run(model.cp, alone, hasty=True, work=CHECK_WORK) == cp_model.INFEASIBLE
