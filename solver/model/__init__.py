"""The plan as a constraint model (CP-SAT): a model for each day, a file for each rule.

`facts` restates a day in grid steps, `variables` makes the decisions, `constraints` posts the
rules, `objective` ranks the goals, `bounds` proves, `search` solves, `conflict` explains what
cannot be.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from solver.model.ceiling import Ceiling, ceiling
from solver.model.choosing import Core
from solver.model.constraints import post_all
from solver.model.facts import Day
from solver.model.greedy import Greedy
from solver.model.objective import accepting, goals
from solver.model.placement import DayPlacement
from solver.model.search import Budget, DayOutcome, OnTier, solve_tiers
from solver.model.variables import DayModel, Obstacle, build_variables

GREEDY_SHARES = ((150, 0.12), (250, 0.25), (600, 0.6))
"""Share of the day's time that the greedy start may take, by requests times shifts at the most."""
CEILING_SHARE = 0.15
"""Share of the day's time in which it is proved how much can be accepted at all."""
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
    """Build the day's model and solve it within the budget.

    The greedy start goes first: its plan is there long before a large model is.
    """
    start = _Start(day, budget, report)
    start.begin()
    model = build_variables(day)
    post_all(model)
    answer = DayAnswer(DayOutcome(None, infeasible=True), tuple(model.obstacles))
    if answer.forbidding:
        return answer
    accept, *later = goals(model)
    top = start.improve()
    accept = replace(accept, best_thinkable=top.worth)
    if not isinstance(accept.expression, int):
        model.cp.add(accept.expression <= top.worth)
        _leave_out(model, top.cores)
    listing = (accept, *later)
    return DayAnswer(
        solve_tiers(model, listing, budget, start.greedy.best, report),
        answer.obstacles,
    )


def _leave_out(model: DayModel, cores: tuple[Core, ...]) -> None:
    """What was found not to go together need not be found again."""
    for core in cores:
        model.cp.add_bool_or(~model.visits[visit].leads[lead] for visit, lead in sorted(core))


class _Start:
    """The greedy start of a day in its share of the time, told as it gets better."""

    def __init__(self, day: Day, budget: Budget, report: OnTier) -> None:
        self.day, self.budget = day, budget
        self.goal, self.report = accepting(day), report
        self.greedy = Greedy(day, budget.seed)
        size = sum(not visit.must for visit in day.visits) * len(day.shifts)
        part = next((part for most, part in GREEDY_SHARES if size <= most), GREEDY_SHARE_BEYOND)
        self.share = budget.part(budget.seconds * part)
        # Breaks that fit nowhere are not on the board; whether they forbid the day, the model says.
        self.lawful = all(due.fits or not due.hard for due in day.dues)

    def begin(self) -> None:
        share = self.share
        self.greedy.begin(lambda: share.over, self._tell, lambda: share.left <= 0)

    def improve(self) -> Ceiling:
        """More rounds, and what no plan can accept more than."""
        greedy, share = self.greedy, self.share
        top = Ceiling(greedy.worth)
        if greedy.value < greedy.worth and not share.over:
            proving = self.budget.part(self.budget.seconds * CEILING_SHARE)
            top = ceiling(self.day, proving, greedy.value)
            greedy.ceiling, greedy.guide = top.worth, top.leads
            share = self.budget.part(share.seconds)
        greedy.run(lambda: share.over, self._tell)
        return top

    def _tell(self, _: DayPlacement) -> None:
        if self.lawful:
            self.report(self.goal, self.greedy.value, self.greedy.ceiling)
