"""One day for each lead, chosen from all the days that she could have, so that most is accepted.

What assistants do comes out of one pool. Days that are found not to go, alone or beside one
another, are struck out and the choice is made anew.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from math import floor

from ortools.sat.python import cp_model

from solver.model.ability import Ability
from solver.model.facts import Day, DayShift
from solver.model.lead_days import LeadDay

CHOICE_WORK = 3.0
"""Deterministic seconds of the solver for one choice; its bound holds however far it is."""

Core = frozenset[tuple[int, str]]
"""Visits, each with a lead, that no plan has all at once."""


@dataclass(frozen=True)
class Choice:
    """No plan accepts more than `worth`; `days` is the day chosen for each shift, by its index."""

    worth: int
    days: dict[int, LeadDay]


@dataclass
class LeadChoice:
    """The days to choose from, what assistants can give in all, and what was struck out."""

    day: Day
    listed: list[tuple[DayShift, LeadDay]]
    judged: list[Ability]
    pooled: int
    """Tenths of steps of help."""
    struck: list[Core] = field(default_factory=list)

    def best(self, seconds: float) -> Choice | None:
        """The most that one day for each lead is worth; None where none is found.

        What cannot be at all is for the whole model to say, with its reasons.
        """
        cp = cp_model.CpModel()
        chosen = [cp.new_bool_var("") for _ in self.listed]
        by_shift, by_visit = defaultdict(list), defaultdict(list)
        for literal, (shift, each) in zip(chosen, self.listed, strict=True):
            by_shift[shift.index].append(literal)
            for visit in each.visits:
                by_visit[visit].append(literal)
        for literals in by_shift.values():
            cp.add_at_most_one(literals)
        for able in self.judged:
            literals = by_visit[able.visit.index]
            if able.visit.must:
                cp.add_exactly_one(literals)
            else:
                cp.add_at_most_one(literals)
        days = [each for _, each in self.listed]
        cp.add(
            cp_model.LinearExpr.weighted_sum(chosen, [each.help for each in days]) <= self.pooled
        )
        for core in self.struck:
            people, literals = self._over(core, chosen)
            cp.add(sum(literals) <= people - 1)
        cp.maximize(cp_model.LinearExpr.weighted_sum(chosen, [self._worth(e) for e in days]))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = CHOICE_WORK
        solver.parameters.max_time_in_seconds = max(0.01, seconds)
        solver.parameters.catch_sigint_signal = False
        if solver.solve(cp) not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            return None
        return Choice(
            floor(solver.best_objective_bound + 1e-6),
            {
                shift.index: each
                for literal, (shift, each) in zip(chosen, self.listed, strict=True)
                if solver.boolean_value(literal)
            },
        )

    def strike(self, cores: Iterable[Core]) -> None:
        """Leave out what no plan has: days of one lead for good, several only all at once."""
        for core in cores:
            leads = {lead for _, lead in core}
            if len(leads) > 1:
                self.struck.append(core)
                continue
            visits = {visit for visit, _ in core}
            self.listed = [
                (shift, each)
                for shift, each in self.listed
                if shift.person.id not in leads or not visits.issubset(each.visits)
            ]

    def _over(self, core: Core, chosen: list[cp_model.IntVar]) -> tuple[int, list[cp_model.IntVar]]:
        """How many leads the core is about, and their days that hold all it says of them."""
        by_lead: dict[str, set[int]] = defaultdict(set)
        for visit, lead in core:
            by_lead[lead].add(visit)
        return len(by_lead), [
            literal
            for literal, (shift, each) in zip(chosen, self.listed, strict=True)
            if shift.person.id in by_lead and by_lead[shift.person.id].issubset(each.visits)
        ]

    def _worth(self, each: LeadDay) -> int:
        return sum(self.day.visits[visit].value for visit in each.visits)
