"""How much can be accepted at all: a ceiling on the worth of a day, proved without a search.

Hands are pooled, so what is left out can only make the ceiling higher. Where the days that each
lead could have are few they are enumerated (`lead_days`), one is chosen for each lead, and all that
assistants do comes out of one pool. For a step of an assistant gives one step of a phase she takes
over or `rate` steps off a braiding, so with any rate `r`, counting a step saved as `1 / r`,

    sum of help(day chosen) <= sum over assistants of (her steps) * max(1, rate / r)

Where they are many, visits are shared out among the leads in fractions (a linear programme): own
work less what is taken over and saved fits the lead's steps, and assistants give no more than they
have. Both forget the clock, chairs and basins; for days that are chosen, `striking` remembers them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from math import floor

from ortools.linear_solver import pywraplp

from schemas.resources import Role
from schemas.work import Performer, PhaseWork
from solver.model.ability import Ability, ability, in_her_place, together
from solver.model.asked_breaks import dues_of
from solver.model.choosing import Core, LeadChoice
from solver.model.crew import can_perform
from solver.model.dues import Due
from solver.model.facts import Day, DayShift, hundredths
from solver.model.lead_days import TENTHS, LeadDay, LeadDays
from solver.model.search import Budget
from solver.model.sharing import apart
from solver.model.striking import lowered

MOST_DAYS = 6_000
"""Lead days above which visits are shared out in fractions instead."""


@dataclass(frozen=True)
class Ceiling:
    """No plan accepts more than `worth`; `leads` is who would lead what if hands were all."""

    worth: int
    leads: dict[int, str] = field(default_factory=dict)
    cores: tuple[Core, ...] = ()
    """Visits with leads that were found not to go together."""


def ceiling(day: Day, budget: Budget, enough: int = -1) -> Ceiling:
    """The ceiling of a day; the worth of all requests where nothing better is known.

    Cut short by the budget, it is a worse ceiling but still one. Nothing is struck out any more
    where it has come down to `enough`, which a plan has reached.
    """
    pool, every = Pool(day), sum(visit.value for visit in day.visits)
    if not pool.judged:
        return Ceiling(every)
    shared, unjudged = pool.shared_out(), pool.unjudged
    most = every if shared is None else min(every, shared + unjudged)
    days = pool.days(MOST_DAYS, lambda: budget.over) if most > enough else None
    if days is None:
        return Ceiling(most)
    choice = LeadChoice(day, days, pool.judged, pool.pooled())
    best, cores = choice.best(budget.left), list[Core]()
    if best is None:
        return Ceiling(most)
    best, cores = lowered(day, choice, best, enough - unjudged, budget)
    leads = {
        visit: day.shifts[shift].person.id
        for shift, each in best.days.items()
        for visit in each.visits
    }
    return Ceiling(min(most, best.worth + unjudged), leads, tuple(cores))


class Pool:
    """Hands and visits of a day without the clock."""

    def __init__(self, day: Day) -> None:
        self.day = day
        able = [ability(day, visit) for visit in day.visits]
        self.judged = [each for each in able if _is_judged(each)]
        self.unjudged = sum(each.visit.value for each in able if not _is_judged(each))
        """Worth of visits that are taken as accepted, for their work is not of the usual form."""
        self.dues: dict[int, list[Due]] = defaultdict(list)
        low, high = day.horizon
        for due in dues_of(day):
            # Only a break that cannot lie outside the opening takes time from it.
            if (
                due.hard
                and due.over is None
                and due.fits
                and low <= due.first
                and due.last + due.size <= high
            ):
                self.dues[due.shift].append(due)
        self.helpers = [each for each in day.shifts if Role.ASSISTANT in each.person.roles]
        rates = [hundredths(each.person.help_rate) for each in self.helpers]
        self.rate = min((rate for rate in rates if rate), default=100)
        """What a step saved is counted by, in hundredths."""

    def steps(self, shift: DayShift) -> int:
        """Steps of the shift inside the openings, less the breaks that are apart for certain."""
        # One break may answer several rules, or several settings of one.
        rests = sum(due.size for due in apart(self.dues[shift.index]))
        inside = sum(
            max(0, min(end, shift.limit) - max(start, shift.start))
            for start, end in self.day.openings
        )
        return inside - rests

    def days(self, most: int, over: Callable[[], bool]) -> list[tuple[DayShift, LeadDay]] | None:
        """Every day that each lead's shift could have."""
        several = [shift.person.id for shift in self.day.shifts]
        found: list[tuple[DayShift, LeadDay]] = []
        for shift in self.day.shifts:
            if Role.LEAD not in shift.person.roles:
                continue
            dues = [due for due in self.dues[shift.index] if due.after is None]
            due = max(dues, key=lambda due: due.size, default=None)
            # Somebody with two shifts may braid in one and wash in the other: no blocks then.
            alone = several.count(shift.person.id) == 1
            shortest = min(self._shortest(each, shift) for each in self.judged) if alone else 0
            days = LeadDays(
                self.day, shift, self.judged, due=due, rate=self.rate, shortest=shortest
            ).all(most - len(found), over)
            if days is None:
                return None
            found += [(shift, each) for each in days]
        return found

    def _shortest(self, able: Ability, shift: DayShift) -> int:
        """Steps the braiding takes at the very least."""
        alone = self.day.work(_own(able), shift.person)
        return 100 * alone // (100 + together(able, self.helpers, shift.person.id))

    def pooled(self) -> int:
        """Tenths of steps that all assistants can give, at the best use of each."""
        return sum(
            self.steps(each)
            * max(TENTHS, -(-TENTHS * hundredths(each.person.help_rate) // self.rate))
            for each in self.helpers
        )

    def shared_out(self) -> int | None:
        """The most that visits shared out among the leads in fractions are worth."""
        solver = pywraplp.Solver.CreateSolver("GLOP")
        people = {shift.person.id: shift for shift in self.day.shifts}
        steps: dict[str, int] = defaultdict(int)
        for shift in self.day.shifts:
            steps[shift.person.id] += self.steps(shift)
        loads, worth = defaultdict(list), []
        taken, saved = [], []
        for able in self.judged:
            visit = able.visit
            shares = []
            for lead in able.leads:
                shift = people[lead]
                share = solver.NumVar(0, 1, "")
                shares.append(share)
                work = self.day.work(_own(able), shift.person)
                crew, others = self._crew(able, shift)
                best = together(able, self.helpers, lead)
                loads[lead].append((work + crew) * share)
                if visit.visit.max_assistants:
                    over = solver.NumVar(0, crew, "")
                    less = solver.NumVar(0, solver.infinity(), "")
                    solver.Add(over <= crew * share)
                    rest = max((due.size for due in self.dues[shift.index]), default=0)
                    solver.Add(less <= best * (work + rest) / (100 + best) * share)
                    loads[lead] += [-over, -less]
                    taken.append(over * (others / crew if crew else 0))
                    saved.append(less)
            if visit.must:
                solver.Add(sum(shares) == 1)
            else:
                solver.Add(sum(shares) <= 1)
                worth.append(visit.value * sum(shares))
        for lead, load in loads.items():
            solver.Add(sum(load) <= steps[lead])
        helping = [solver.NumVar(0, max(0, self.steps(each)), "") for each in self.helpers]
        rates = [hundredths(each.person.help_rate) / 100 for each in self.helpers]
        given = sum(rate * each for rate, each in zip(rates, helping, strict=True))
        solver.Add(sum(saved) <= given)
        solver.Add(sum(taken) + sum(helping) <= sum(self.steps(each) for each in self.helpers))
        solver.Maximize(sum(worth))
        if solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        return floor(float(solver.Objective().Value()) + 1e-3)

    def _crew(self, able: Ability, shift: DayShift) -> tuple[int, int]:
        """Steps of the crew's phases that the lead could do: hers, and an assistant's at least."""
        mine = theirs = 0
        for work in able.visit.phases:
            if work.performer is Performer.LEAD:
                continue
            if can_perform(able.visit.visit, work, shift.person):
                own = self.day.work(work, shift.person)
                others = in_her_place(self.day, able, work, self.helpers)
                mine += own
                theirs += own if others is None else min(own, others)
        return mine, theirs


def _own(able: Ability) -> PhaseWork:
    """The phase that is the lead's alone."""
    assert able.own is not None
    return able.visit.phases[able.own]


def _is_judged(able: Ability) -> bool:
    """Visits with one phase that is the lead's alone; the rest of their work is the crew's."""
    own = [work for work in able.visit.phases if work.performer is Performer.LEAD]
    return len(own) == 1 and bool(able.leads) and bool(able.starts)
