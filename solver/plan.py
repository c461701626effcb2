"""Plan the days of a day book: one model for each day, judged by the checker before it leaves.

Each day's model gets its share of the time; what comes back is merged and read whole by the
independent checker. A request that suits on several days is offered to each in turn, earliest
first, until one takes it: see `solver.merging` for what the tiers say of that.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime

from schemas.booking import Booking, BookingStatus
from schemas.daybook import DayBook
from schemas.plan import Plan, PlanResult, SolveStatus
from schemas.rules import Finding
from solver.checker import check
from solver.colouring import peak_use
from solver.days import DayPart, part_days
from solver.errors import DayBookError, Fault, PartlineError
from solver.merging import DayTiers, merge_status, merge_tiers
from solver.model import DayAnswer, solve_day
from solver.model.build import build_day
from solver.model.conflict import conflicts
from solver.model.facts import Day
from solver.model.objective import Goal
from solver.model.progress import OnProgress, Progress, Stop, gap
from solver.model.search import Budget, OnTier
from solver.refusal import refusals
from solver.rules import settings_in_force
from solver.writing import write_plan

__all__ = ["PlanRejected", "Progress", "plan_days"]

RESERVE_SECONDS, RESERVE_SHARE = 0.3, 0.03
"""Time kept back for the solver to stop, the plan to be written down and the checker to read it."""


class PlanRejected(PartlineError):  # noqa: N818 - an event, in the past tense
    """The checker found a hard breach in a plan of ours: a bug, never an answer."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        self.findings = findings
        super().__init__("; ".join(f"{finding.rule}: {finding.detail}" for finding in findings))

    def __reduce__(self) -> tuple[type[PlanRejected], tuple[tuple[Finding, ...]]]:
        # From one process to another it goes by its findings, which its sentence is made of.
        return type(self), (self.findings,)


def plan_days(
    day_book: DayBook,
    *,
    seconds: float = 10.0,
    seed: int = 1,
    workers: int = 1,
    on_progress: OnProgress | None = None,
    stop: Stop | None = None,
) -> PlanResult:
    """The best plan found for all days within `seconds` of wall time, and how good it may be.

    `on_progress` hears of every better plan and bound, on a thread of the solver; `stop` is asked
    some fifty times a second and ends the search with the best plan so far. With one worker the
    same book and seed give the same plan as long as every tier is proved within the time; where
    the time cuts the search short, the plan may differ from run to run.

    Raises DayBookError for a visit whose work is not stated in phases (see
    `solver.takeoff.work.with_work`) or rules that make no sense. Infeasible is a status.
    """
    _work_is_stated(day_book)
    reserve = min(RESERVE_SECONDS, seconds * RESERVE_SHARE)
    budget = Budget(seconds - reserve, stop or (lambda: False), workers, seed)
    planner = _Planner(day_book, budget, on_progress)
    for part in planner.parts:
        planner.plan(part)
    return planner.result()


def _work_is_stated(day_book: DayBook) -> None:
    faults = [
        Fault(f"/{name}/{index}/phases", "state the work in phases before planning")
        for name, visits in (("bookings", day_book.bookings), ("requests", day_book.requests))
        for index, visit in enumerate(visits)
        if not visit.phases
    ]
    if faults:
        raise DayBookError(*faults)


@dataclass
class _Planner:
    """Goes through the days and keeps what each gave."""

    day_book: DayBook
    budget: Budget
    on_progress: OnProgress | None
    parts: list[DayPart] = field(init=False)
    days: list[DayTiers] = field(default_factory=list)
    plans: list[Plan] = field(default_factory=list)
    reasons: list[Finding] = field(default_factory=list)
    accepted: set[str] = field(default_factory=set)
    taken_on: dict[str, date] = field(default_factory=dict)
    """The day of every visit placed so far."""
    done: float = 0.0
    fraction: float = 0.0

    def __post_init__(self) -> None:
        self.parts = part_days(self.day_book)
        self.settings = settings_in_force(self.day_book)
        # A day's model grows faster than its visits.
        self.weights = {id(part): 1 + len(part.visits) ** 1.5 for part in self.parts}
        self.total = sum(self.weights.values())

    def plan(self, part: DayPart) -> None:
        """Plan one day with the requests that no earlier day took."""
        requests = [request for request in part.requests if request.id not in self.accepted]
        day = build_day(
            self.day_book,
            part.openings,
            part.shifts,
            (*part.bookings, *requests),
            self.settings,
            before=self.taken_on,
            planned=self.plans,
        )
        weight = self.weights[id(part)]
        share = self.budget.part(self.budget.left * weight / max(weight, self.total - self.done))
        answer = solve_day(day, share, self._reporter(day, share, weight))
        self._keep(part, day, answer)
        self.done += weight

    def _keep(self, part: DayPart, day: Day, answer: DayAnswer) -> None:
        outcome = answer.outcome
        placed: frozenset[str] = frozenset()
        if outcome.placement is not None:
            plan = write_plan(day, outcome.placement)
            self.plans.append(plan)
            placed = frozenset(visit.visit for visit in plan.visits)
        self.accepted |= placed
        self.taken_on |= dict.fromkeys(placed, day.date)
        self.days.append(DayTiers(part, outcome, placed, bound_to_others=bool(day.elsewhere)))
        if outcome.infeasible:
            found = () if answer.forbidding else conflicts(day, self.budget)
            self.reasons.extend(refusals(day, answer.forbidding, found))

    def _reporter(self, day: Day, share: Budget, weight: float) -> OnTier:
        def report(goal: Goal, value: int, bound: int) -> None:
            if self.on_progress is None:
                return
            spent = 1 - share.left / share.seconds if share.seconds else 1.0
            self.fraction = max(self.fraction, (self.done + weight * spent) / self.total)
            value, bound = value * goal.factor, bound * goal.factor
            self.on_progress(
                Progress(day.date, goal.name, value, bound, gap(value, bound), self.fraction)
            )

        return report

    def result(self) -> PlanResult:
        """The days as one, judged."""
        status = merge_status(self.days)
        tiers = merge_tiers(self.days)
        if status in {SolveStatus.INFEASIBLE, SolveStatus.OUT_OF_TIME}:
            return PlanResult(
                status=status, plan=None, findings=tuple(self.reasons), seed=self.budget.seed
            )
        plan = self._merged()
        findings = check(self.day_book, plan)
        broken = tuple(finding for finding in findings if finding.hard)
        if broken:
            raise PlanRejected(broken)
        return PlanResult(
            status=status,
            plan=plan,
            tiers=tiers,
            findings=findings,
            peak_chairs=_peak_chairs(plan),
            seed=self.budget.seed,
        )

    def _merged(self) -> Plan:
        placed = {visit.visit for plan in self.plans for visit in plan.visits}
        asking = [
            *(booking for booking in self.day_book.bookings if not _cancelled(booking)),
            *self.day_book.requests,
        ]
        return Plan(
            visits=tuple(visit for plan in self.plans for visit in plan.visits),
            breaks=tuple(planned for plan in self.plans for planned in plan.breaks),
            declined=tuple(visit.id for visit in asking if visit.id not in placed),
        )


def _cancelled(booking: Booking) -> bool:
    return booking.status is BookingStatus.CANCELLED


def _peak_chairs(plan: Plan) -> int:
    """The most chairs taken at one instant, turnaround left out."""
    frame = (visit.window for visit in plan.visits if visit.chair is not None)
    return peak_use((_minute(window.start), _minute(window.end)) for window in frame)


def _minute(instant: datetime) -> int:
    return int(instant.timestamp()) // 60
