"""The repair itself: work the events in, solve the days they touch, judge, tell.

Where running visits cannot end within shifts and opening hours, people stay longer; where even
that does not do, the rules of the house are bent and said to be. Both only when nothing else can.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedBreak, PlannedVisit, SolveStatus, Tier
from schemas.repair import Event, Renegotiation, RepairResult
from schemas.rules import Finding
from solver.checker import check
from solver.days import DayPart, part_days
from solver.errors import DayBookError, Fault
from solver.model.objective import Goal
from solver.model.placement import DayPlacement
from solver.model.progress import OnProgress, Progress, Stop, gap
from solver.model.repairing import DEPTHS, Repaired, Repairer
from solver.model.search import Budget, OnTier, TierResult
from solver.plan import RESERVE_SECONDS, PlanRejected
from solver.repair.attempts import attempts, unbent
from solver.repair.differences import differences
from solver.repair.events import happen
from solver.repair.promises import renegotiations
from solver.repair.seats import on_known_chairs
from solver.repair.situation import Situation
from solver.repair.task import DayTask, begun_breaks, day_task, names_of
from solver.writing import write_plan

QUICK_SHARE, PLAIN_SHARE = 0.25, 0.4
"""Shares of the time left: for one quick answer, and for a way that bends less."""
MOST_TRIES = 9


def repair(
    day_book: DayBook,
    plan: Plan,
    events: Sequence[Event],
    now: datetime,
    *,
    seconds: float = 5.0,
    seed: int = 1,
    workers: int = 1,
    on_progress: OnProgress | None = None,
    stop: Stop | None = None,
) -> RepairResult:
    """The day after what happened, within `seconds` of wall time.

    `plan` is the day as people know it; it keeps the hard rules of `day_book`. What starts before
    `now` has begun, what ends at `now` or before is over. The result's plan keeps every hard rule
    of the result's day book, save the promises it lists as to be renegotiated.

    Raises DayBookError, with pointers such as `/events/0/visit`, where an event makes no sense.
    """
    faults = [
        Fault(f"/plan/visits/{index}", f"{visit.visit} is not placed as its work is stated")
        for index, visit in enumerate(plan.visits)
        if not _as_stated(day_book, visit)
    ]
    if faults:
        raise DayBookError(*faults)
    reserve = min(RESERVE_SECONDS, 0.1 * seconds)
    budget = Budget(seconds - reserve, stop or (lambda: False), workers, seed)
    situation = Situation.of(day_book, plan, now)
    happen(situation, events)
    return _Mender(situation, plan, day_book, budget, on_progress).result()


def _as_stated(book: DayBook, planned: PlannedVisit) -> bool:
    for visit in (*book.bookings, *book.requests):
        if visit.id == planned.visit:
            return [work.kind for work in visit.phases] == [phase.kind for phase in planned.phases]
    return False


@dataclass
class _Mender:
    situation: Situation
    before: Plan
    book_before: DayBook
    budget: Budget
    on_progress: OnProgress | None
    plain: DayBook = field(init=False)
    """The facts as the events left them, before anything was bent."""
    visits: list[PlannedVisit] = field(default_factory=list)
    breaks: list[PlannedBreak] = field(default_factory=list)
    tiers: list[tuple[TierResult, ...]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.plain = self.situation.book

    @property
    def book(self) -> DayBook:
        """The facts with overtime and bent rules, where there had to be."""
        return self.situation.book

    def result(self) -> RepairResult:
        parts = part_days(self.book)
        findings = check(self.book, self._as_it_stands())
        self.situation.near |= {
            name for finding in findings if finding.hard for name in finding.visits
        }
        touched = [part for part in parts if self._is_touched(part, findings)]
        for part in parts:
            names = names_of(self.situation, part)
            if part not in touched:
                self._keep(part, names)
                continue
            share = self.budget.part(self.budget.left / (len(touched) - touched.index(part)))
            status = self._mend(part, share)
            if status is not None:
                return self._none(status, findings)
        return self._judged()

    def _as_it_stands(self) -> Plan:
        """What would be if nobody did anything about it."""
        placed = self.situation.placed
        return Plan(
            visits=tuple(placed.values()),
            breaks=tuple(self.situation.breaks),
            declined=tuple(name for name in self._asking() if name not in placed),
        )

    def _asking(self) -> list[str]:
        gone = self.situation.gone
        both = (*self.book.bookings, *self.book.requests)
        return [visit.id for visit in both if visit.id not in gone and not _cancelled(visit)]

    def _is_touched(self, part: DayPart, findings: tuple[Finding, ...]) -> bool:
        situation = self.situation
        if max(window.end for window in part.openings) <= situation.now:
            return any(situation.begun.get(name) for name in self._unfinished(part))
        names = set(names_of(situation, part))
        shifts = {shift.id: shift.window for shift in self.book_before.shifts}
        return (
            bool(names & situation.near)
            or any(shifts.get(shift.id) != shift.window for shift in part.shifts)
            or any(
                finding.hard and finding.window is not None and part.touches(finding.window)
                for finding in findings
            )
        )

    def _unfinished(self, part: DayPart) -> list[str]:
        """Visits of a day past its closing that still go on."""
        return [
            name
            for name in names_of(self.situation, part)
            if name in self.situation.placed
            and self.situation.placed[name].window.end > self.situation.now
        ]

    def _keep(self, part: DayPart, names: list[str]) -> None:
        self.visits += [
            self.situation.placed[name] for name in names if name in self.situation.placed
        ]
        self.breaks += self._breaks_of(part, self.situation.breaks)

    def _breaks_of(self, part: DayPart, breaks: list[PlannedBreak]) -> list[PlannedBreak]:
        shifts = [(shift.staff, shift.window) for shift in part.shifts]
        return [
            rest
            for rest in breaks
            if any(rest.staff == who and window.contains(rest.window) for who, window in shifts)
        ]

    def _mend(self, part: DayPart, budget: Budget) -> SolveStatus | None:
        """Solve one day; None once it has a plan."""
        tries = _Tries(self, part)
        found = self._first(tries, budget)
        if found is None:
            return self._at_length(tries, part, budget)
        number, best = found
        tried = tries[number]
        if number:
            # A wider search may find a way that bends nothing.
            plain = tries[0].repairer.improve(None, budget.part(budget.left * PLAIN_SHARE))
            if plain.placement is not None and (
                tries[0].repairer.reached(plain.placement)[0] <= tried.repairer.reached(best)[0]
            ):
                self._take(part, tries[0], plain)
                return None
        self._take(part, tried, tried.repairer.improve(best, budget))
        return None

    def _first(self, tries: _Tries, budget: Budget) -> tuple[int, DayPlacement] | None:
        """A quick answer: what is bent least, and near the events, before the rest."""
        order = sorted(
            ((number, depth) for number in range(MOST_TRIES) for depth in range(DEPTHS)),
            key=lambda pair: (pair[0] // 3, max(0, pair[1] - 1), pair),
        )
        best: tuple[int, DayPlacement] | None = None
        for number, depth in order:
            if best is not None and number != best[0]:
                continue  # only a wider answer of the same attempt may be better
            if budget.over or (best is not None and budget.left < 0.6 * budget.seconds):
                break
            tried = tries.get(number)
            if tried is None:
                break
            repairer, share = tried.repairer, budget.part(budget.left * QUICK_SHARE)
            before = None if best is None else best[1]
            answer = repairer.quick(depth, share, before)
            if answer is None:
                continue
            if before is None or repairer.reached(answer) < repairer.reached(before):
                best = number, answer
            if repairer.reached(answer)[0] == 0:
                break
        return best

    def _at_length(self, tries: _Tries, part: DayPart, budget: Budget) -> SolveStatus | None:
        """No quick answer: each attempt on the whole day."""
        undecided = False
        for number in range(MOST_TRIES):
            tried = None if budget.over else tries.get(number)
            if tried is None:
                break
            answer = tried.repairer.improve(None, budget.part(budget.left * PLAIN_SHARE))
            if answer.placement is not None:
                self._take(part, tried, answer)
                return None
            undecided = undecided or not answer.impossible
        return SolveStatus.OUT_OF_TIME if undecided or budget.over else SolveStatus.INFEASIBLE

    def stated(self, situation: Situation, part: DayPart) -> DayTask:
        """The day's repair in steps."""
        here = [
            name
            for name in names_of(situation, part)
            if name in situation.placed or self._may_come(part)
        ]
        return day_task(situation, part, here)

    def _may_come(self, part: DayPart) -> bool:
        """Who is at the door comes in on the day that is under way, or the next."""
        days = [
            each
            for each in part_days(self.book)
            if max(window.end for window in each.openings) > self.situation.now
        ]
        return bool(days) and days[0].openings == part.openings

    def _take(self, part: DayPart, tried: _Try, answer: Repaired) -> None:
        assert answer.placement is not None
        self.situation = tried.situation
        written = write_plan(tried.stated.day, answer.placement, tried.stated.known)
        self.visits += written.visits
        self.breaks += written.breaks
        self.tiers.append(answer.tiers)
        have = {(rest.staff, rest.window.start) for rest in written.breaks}
        taken = self._breaks_of(part, begun_breaks(self.situation))
        self.breaks += [rest for rest in taken if (rest.staff, rest.window.start) not in have]

    def reporter(self, stated: DayTask) -> OnTier:
        def report(goal: Goal, value: int, bound: int) -> None:
            if self.on_progress is not None:
                value, bound = value * goal.factor, bound * goal.factor
                spent = 1 - self.budget.left / self.budget.seconds if self.budget.seconds else 1.0
                self.on_progress(
                    Progress(stated.day.date, goal.name, value, bound, gap(value, bound), spent)
                )

        return report

    def _judged(self) -> RepairResult:
        placed = {visit.visit for visit in self.visits}
        plan = Plan(
            visits=tuple(self.visits),
            breaks=tuple(self.breaks),
            declined=tuple(name for name in self._asking() if name not in placed),
        )
        book = unbent(self.plain, self.book, plan)
        plan = on_known_chairs(book, plan, self.before)
        findings = check(book, plan)
        owed: tuple[Renegotiation, ...] = tuple(renegotiations(book, plan))
        broken = {each.visit for each in owed}
        wrong = tuple(
            finding
            for finding in findings
            if finding.hard
            and not (finding.rule == "promise-kept" and set(finding.visits) <= broken)
        )
        if wrong:
            raise PlanRejected(wrong)
        tiers = _merged(self.tiers)
        proved = all(tier.value == tier.bound for tier in tiers)
        return RepairResult(
            status=SolveStatus.OPTIMAL if proved else SolveStatus.FEASIBLE,
            plan=plan,
            day_book=book,
            differences=differences(self.situation, self.book_before, self.before, book, plan),
            renegotiate=owed,
            tiers=tiers,
            findings=tuple(finding for finding in findings if not finding.hard),
            seed=self.budget.seed,
        )

    def _none(self, status: SolveStatus, findings: tuple[Finding, ...]) -> RepairResult:
        return RepairResult(
            status=status,
            plan=None,
            day_book=self.situation.book,
            findings=tuple(finding for finding in findings if finding.hard),
            seed=self.budget.seed,
        )


@dataclass(frozen=True)
class _Try:
    """One of the attempts, with its model."""

    situation: Situation
    stated: DayTask
    repairer: Repairer


class _Tries:
    """The attempts in order, each built when it is first looked at."""

    def __init__(self, mender: _Mender, part: DayPart) -> None:
        self._mender, self._part = mender, part
        self._waiting = attempts(mender.situation, part)
        self._built: list[_Try] = []

    def __getitem__(self, number: int) -> _Try:
        return self._built[number]

    def get(self, number: int) -> _Try | None:
        """The attempt of that number; None past the last."""
        while len(self._built) <= number:
            situation = next(self._waiting, None)
            if situation is None:
                return None
            stated = self._mender.stated(situation, self._part)
            report = self._mender.reporter(stated)
            self._built.append(_Try(situation, stated, Repairer(stated.day, stated.task, report)))
        return self._built[number]


def _cancelled(visit: object) -> bool:
    return getattr(visit, "status", None) == "CANCELLED"


def _merged(days: list[tuple[TierResult, ...]]) -> tuple[Tier, ...]:
    """Each tier added up over the days."""
    merged = []
    for results in zip(*days, strict=True):
        goal = results[0].goal
        value = sum(result.value for result in results)
        bound = sum(result.bound for result in results)
        merged.append(
            Tier(
                name=goal.name,
                sentence=goal.sentence,
                value=value,
                bound=bound,
                gap=gap(value, bound),
                maximised=goal.maximised,
            )
        )
    return tuple(merged)
