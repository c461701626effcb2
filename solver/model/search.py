"""Solve a day, tier by tier, within a budget of wall time kept to a fraction of a second."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from math import ceil, floor
from threading import Event, Thread
from time import monotonic

from ortools.sat.python import cp_model

from solver.model.bounds import post_bounds
from solver.model.objective import Goal, measured
from solver.model.placement import DayPlacement
from solver.model.read import hint_placement, read_placement
from solver.model.variables import DayModel

POLL_SECONDS = 0.02
"""How often a running solve looks whether it is to stop. `stop_search` is lost if it comes before
the solve has begun, so it is repeated until the solve returns."""
CROWDED = 12
"""Open requests above which a day is searched by several strategies in turn even on one worker, and
with the sums of `bounds`. Many promises make a day large, but not hard: what is promised has its
lead and its start."""
SHARES = {"accepted-value": 0.6, "preferences": 0.5, "last-finish": 0.6, "stay": 1.0}
"""Share of the time still left that a tier may take; what it does not use goes to the next."""


@dataclass
class Budget:
    """Wall time and the wish to stop, shared by everything that solves."""

    seconds: float
    stop: Callable[[], bool] = lambda: False
    workers: int = 1
    seed: int = 1
    begun: float = field(default_factory=monotonic)

    @property
    def left(self) -> float:
        return max(0.0, self.begun + self.seconds - monotonic())

    @property
    def over(self) -> bool:
        return self.left <= 0 or self.stop()

    def part(self, seconds: float) -> Budget:
        """A budget of its own inside this one."""
        return Budget(min(seconds, self.left), self.stop, self.workers, self.seed)


@dataclass(frozen=True)
class TierResult:
    """One tier of one day, in the unit people read."""

    goal: Goal
    value: int
    bound: int

    @property
    def proved(self) -> bool:
        return self.value == self.bound


@dataclass(frozen=True)
class DayOutcome:
    """What the search made of a day. No placement: `infeasible` says whether there can be none."""

    placement: DayPlacement | None
    tiers: tuple[TierResult, ...] = ()
    infeasible: bool = False


@dataclass
class Answer:
    """What one call of the solver gave, in the model's unit."""

    infeasible: bool = False
    value: int | None = None
    bound: int | None = None
    placement: DayPlacement | None = None


OnTier = Callable[[Goal, int, int], None]
"""Told the goal, the value and the bound whenever one of them gets better."""


def solve_tiers(
    model: DayModel,
    listing: tuple[Goal, ...],
    budget: Budget,
    start: DayPlacement | None,
    report: OnTier,
) -> DayOutcome:
    """Solve the tiers in order; a tier keeps its value while the next ones are solved.

    `start` is a placement to begin from; it must obey every rule. A tier that is not proved in its
    time is kept from getting worse, so a later tier may still find it better by chance.
    """
    best = start
    bounds: dict[str, int] = {}
    for goal in listing:
        settled = best is not None and measured(model, goal, best) == goal.best_thinkable
        bounds[goal.name] = goal.best_thinkable
        if not settled and not isinstance(goal.expression, int):
            if best is not None:
                hint_placement(model, best)
            share = budget.part(budget.left * SHARES[goal.name])
            answer = solve(model, goal, share, report)
            if answer.infeasible and best is None:
                return DayOutcome(None, infeasible=True)
            best = answer.placement or best
            if answer.bound is not None:
                bounds[goal.name] = answer.bound
        if best is not None:
            _keep(model, goal, measured(model, goal, best))
    if best is None:
        return DayOutcome(None)
    return DayOutcome(
        best,
        tuple(
            TierResult(
                goal, measured(model, goal, best) * goal.factor, bounds[goal.name] * goal.factor
            )
            for goal in listing
        ),
    )


def _keep(model: DayModel, goal: Goal, value: int) -> None:
    if isinstance(goal.expression, int):
        return
    if goal.maximised:
        model.cp.add(goal.expression >= value)
    else:
        model.cp.add(goal.expression <= value)


def solve(
    model: DayModel,
    goal: Goal,
    budget: Budget,
    report: OnTier,
    *,
    sums: bool = True,
    light: bool = False,
    hasty: bool = False,
    guided: bool = False,
) -> Answer:
    """Solve one goal within its budget and give the best placement found.

    `sums` adds the sums of `bounds` where the goal is to accept much on a crowded day; on a small
    one the ceiling says as much, and they only slow the search. `light` leaves out linear
    relaxations and changes of strategy, which only delay where little is left to decide. `hasty`
    looks at the model only briefly before it searches: for answers in a fraction of a second.
    `guided` decides in the order that the model states before anything else.
    """
    if goal.maximised:
        model.cp.maximize(goal.expression)
    else:
        model.cp.minimize(goal.expression)
    watcher = _Watcher(model, goal, report)
    many = crowded(model)
    status = run(
        _proving(model) if sums and goal.maximised and many else model.cp,
        budget,
        watcher,
        in_turn=many and not light,
        light=light,
        hasty=hasty,
        guided=guided,
    )
    answer = watcher.answer
    if status in {cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.UNKNOWN} and answer.bound is None:
        answer.bound = goal.best_thinkable
    if status == cp_model.OPTIMAL:
        answer.bound = answer.value
    answer.infeasible = status == cp_model.INFEASIBLE
    return answer


def crowded(model: DayModel) -> bool:
    """Whether more is asked than a search over who is accepted can go through."""
    return sum(not visit.facts.must for visit in model.visits) > CROWDED


def _proving(model: DayModel) -> cp_model.CpModel:
    """The model with the sums that prove how much can be accepted; they only slow other goals."""
    proving = replace(model, cp=model.cp.clone())
    post_bounds(proving)
    return proving.cp


def run(
    cp: cp_model.CpModel,
    budget: Budget,
    watcher: cp_model.CpSolverSolutionCallback | None = None,
    *,
    in_turn: bool = False,
    light: bool = False,
    hasty: bool = False,
    guided: bool = False,
    work: float = float("inf"),
) -> int:
    """Run the solver until it is done, out of time or told to stop; give its status.

    `work` is its deterministic time at the most.

    `in_turn` lets one worker switch between strategies, which keeps it reproducible. `light` does
    without linear relaxations, `hasty` with little presolve, no probing and no symmetries.
    `guided` takes the model's own order of decisions first.
    """
    if budget.over:
        return int(cp_model.UNKNOWN)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(0.01, budget.left)
    solver.parameters.max_deterministic_time = work
    solver.parameters.num_workers = budget.workers
    solver.parameters.random_seed = budget.seed
    # Ctrl-C belongs to whoever runs us: the solver's own handler ends the process from a thread.
    solver.parameters.catch_sigint_signal = False
    solver.parameters.interleave_search = in_turn and budget.workers == 1
    if light:
        solver.parameters.linearization_level = 0
    if hasty:
        solver.parameters.max_presolve_iterations = 1
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.symmetry_level = 0
    if guided:
        branching = type(solver.parameters.search_branching)
        solver.parameters.search_branching = branching.PARTIAL_FIXED_SEARCH
    if isinstance(watcher, _Watcher):
        solver.best_bound_callback = watcher.on_bound
    done = Event()

    def watch() -> None:
        while not done.wait(POLL_SECONDS):
            failed = isinstance(watcher, _Watcher) and watcher.failure is not None
            if failed or budget.over:
                solver.stop_search()

    thread = Thread(target=watch, name="plan-watch", daemon=True)
    thread.start()
    try:
        status = solver.solve(cp, watcher)
    finally:
        done.set()
        thread.join()
    if isinstance(watcher, _Watcher) and watcher.failure is not None:
        raise watcher.failure
    if isinstance(watcher, _Watcher) and status == cp_model.FEASIBLE:
        watcher.on_bound(solver.best_objective_bound)
    if status == cp_model.MODEL_INVALID:
        raise ValueError(cp.validate())
    return int(status)


class _Watcher(cp_model.CpSolverSolutionCallback):
    """Keeps the best placement and passes each improvement on."""

    def __init__(self, model: DayModel, goal: Goal, report: OnTier) -> None:
        super().__init__()
        self.model = model
        self.goal = goal
        self.report = report
        self.answer = Answer()
        self.failure: BaseException | None = None

    def on_solution_callback(self) -> None:
        try:
            self.answer.value = round(self.objective_value)
            self.answer.placement = read_placement(self.model, self.value)
            self.on_bound(self.best_objective_bound)
        except BaseException as failure:  # it may not travel through the solver
            self.failure = failure

    def on_bound(self, bound: float) -> None:
        """Bounds are whole: round towards the value, with a hair of room for the arithmetic."""
        goal, answer = self.goal, self.answer
        if goal.maximised:
            answer.bound = min(goal.best_thinkable, floor(bound + 1e-6))
        else:
            answer.bound = max(goal.best_thinkable, ceil(bound - 1e-6))
        if answer.value is None:
            return
        try:
            self.report(goal, answer.value, answer.bound)
        except BaseException as failure:
            self.failure = failure
