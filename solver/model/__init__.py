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
from solver.model.objective import accepting, goals
from solver.model.placement import DayPlacement
from solver.model.search import Budget, DayOutcome, OnTier, solve_tiers
from solver.model.variables import Obstacle, build_variables

GREEDY_SHARES = ((60, 0.15), (150, 0.4), (600, 0.6))
"""Share of the day's time that the greedy start may take, by requests times shifts at the most."""
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
    accept = replace(accept, best_thinkable=top)
    if not isinstance(accept.expression, int):
        model.cp.add(accept.expression <= top)
    listing = (accept, *later)
    return DayAnswer(
        solve_tiers(model, listing, budget, start.greedy.best, report, guide=start.greedy.guide),
        answer.obstacles,
    )


class _Start:
    """The greedy start of a day in its share of the time, told as it gets better."""

    def __init__(self, day: Day, budget: Budget, report: OnTier) -> None:
        self.day, self.goal, self.report = day, accepting(day), report
        self.greedy = Greedy(day, budget.seed)
        size = sum(not visit.must for visit in day.visits) * len(day.shifts)
        part = next((part for most, part in GREEDY_SHARES if size <= most), GREEDY_SHARE_BEYOND)
        self.share = budget.part(budget.seconds * part)
        # Breaks that fit nowhere are not on the board; whether they forbid the day, the model says.
        self.lawful = all(due.fits or not due.hard for due in day.dues)

    def begin(self) -> None:
        share = self.share
        self.greedy.begin(lambda: share.over, self._tell, lambda: share.left <= 0)

    def improve(self) -> int:
        """More rounds, and what no plan can accept more than."""
        greedy, share = self.greedy, self.share
        if greedy.value < greedy.worth and not share.over:
            top = ceiling(self.day, share.left, lambda: share.over)
            greedy.ceiling, greedy.guide = top.worth, top.leads
        greedy.run(lambda: share.over, self._tell)
        return greedy.ceiling

    def _tell(self, _: DayPlacement) -> None:
        if self.lawful:
            self.report(self.goal, self.greedy.value, self.greedy.ceiling)
