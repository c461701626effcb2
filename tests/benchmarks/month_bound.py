"""How much of a month could be sold at most, and a plan that sells nearly so much.

The bound takes every client as known from the start. For each day and each lead's shift every set
of visits is listed that she could lead that day (`solver.model.lead_days`), with the least help it
takes; what is left out there only lets more through. One linear programme for all days chooses at
most one set for each shift, so that

    each client is in one chosen set at most, whichever days suit her,
    the help of the sets of one day is no more than its assistants have.

Every plan that the checker lets pass is a choice of that kind, so its minutes are no more than the
programme's optimum, which forgets chairs and basins, pools the hands of assistants over the day
and chooses in fractions. The optimum is taken from the dual: for any prices
`p >= 0` of clients and `q >= 0` of help,

    bound(p, q) = sum p + sum over days q * help there is
                + sum over shifts max(0, max over sets (minutes - sum p in the set - q * help))

holds however the prices were found (weak duality), and it is reckoned here over all sets, in whole
numbers of a thousandth of a minute.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from ortools.linear_solver import pywraplp
from ortools.sat.python import cp_model

from schemas.daybook import DayBook
from solver.days import part_days
from solver.model.build import build_day
from solver.model.ceiling import Pool
from solver.model.facts import worth
from solver.plan import plan_days
from solver.rules import settings_in_force

Numbers = npt.NDArray[np.int64]
THOUSAND = 1000
CHOICE_SECONDS = 10.0
"""For the choice of whole sets, on the clock."""
MOST_SETS = 200_000
"""Sets of one day; with more it is refused rather than guessed."""


@dataclass(frozen=True)
class DaySet:
    """One set of visits that a shift could lead."""

    day: int
    shift: str
    visits: tuple[str, ...]
    help: int
    minutes: int


@dataclass(frozen=True)
class Listed:
    sets: tuple[DaySet, ...]
    help: tuple[int, ...]
    """What the assistants of each day have at most, in the unit of the sets."""


def listed(book: DayBook) -> Listed:
    """Every set of the book's requests that some shift could lead, day by day."""
    settings, sets, help_ = settings_in_force(book), list[DaySet](), list[int]()
    for number, part in enumerate(part_days(book)):
        day = build_day(book, part.openings, part.shifts, part.visits, settings)
        pool = Pool(day)
        judged = {each.visit.index for each in pool.judged}
        for visit in day.visits:
            own = sum(work.performer == "lead" for work in visit.phases)
            assert visit.index in judged or own == 1, "only visits with one phase of the lead's own"
        found = pool.days(MOST_SETS, lambda: False)
        assert found is not None, "too many sets to list"
        help_.append(pool.pooled())
        sets += (
            DaySet(
                number,
                shift.shift.id,
                tuple(day.visits[visit].visit.id for visit in each.visits),
                each.help,
                sum(day.visits[visit].value for visit in each.visits),
            )
            for shift, each in found
        )
    return Listed(tuple(sets), tuple(help_))


@dataclass(frozen=True)
class Bound:
    """No plan of the month sells more than `minutes`."""

    minutes: int
    looked_at: tuple[int, ...]
    """The sets that the programme looked at."""


class _Tables:
    """The sets as arrays, to be priced all at once."""

    def __init__(self, all_: Listed) -> None:
        sets = all_.sets
        self.clients = sorted({name for each in sets for name in each.visits})
        self.shifts = sorted({each.shift for each in sets})
        client = {name: at for at, name in enumerate(self.clients)}
        shift = {name: at for at, name in enumerate(self.shifts)}
        self.minutes = np.array([each.minutes for each in sets])
        self.help = np.array([each.help for each in sets])
        self.day = np.array([each.day for each in sets])
        self.shift = np.array([shift[each.shift] for each in sets])
        self.there = np.array(all_.help)
        # Short sets are filled up with a client who is nobody and costs nothing.
        longest = max(len(each.visits) for each in sets)
        self.members = np.full((len(sets), longest), len(self.clients))
        for at, each in enumerate(sets):
            self.members[at, : len(each.visits)] = [client[name] for name in each.visits]

    def left(self, prices: Numbers, rates: Numbers) -> Numbers:
        """Thousandths of minutes of each set once its clients and its help are paid for."""
        paid = np.append(prices, 0)[self.members].sum(axis=1) + rates[self.day] * self.help
        return THOUSAND * self.minutes - paid

    def dual(self, prices: Numbers, rates: Numbers) -> int:
        """The bound in minutes that these prices, in thousandths, prove."""
        best = np.zeros(len(self.shifts), np.int64)
        np.maximum.at(best, self.shift, self.left(prices, rates))
        return int(prices.sum() + (rates * self.there).sum() + best.sum()) // THOUSAND


def bound(all_: Listed) -> Bound:
    """The dual bound of the programme; sets join it as they are wanted."""
    tables = _Tables(all_)
    solver = pywraplp.Solver.CreateSolver("GLOP")
    solver.Objective().SetMaximization()
    endless = solver.infinity()
    once = [solver.Constraint(-endless, 1) for _ in tables.clients]
    one = [solver.Constraint(-endless, 1) for _ in tables.shifts]
    helped = [solver.Constraint(-endless, float(total)) for total in all_.help]
    chosen: dict[int, pywraplp.Variable] = {}
    least = int(tables.minutes.sum())
    while True:
        prices, rates, worth = (_thousandths(rows, chosen) for rows in (once, helped, one))
        least = min(least, tables.dual(prices, rates))
        gain = tables.left(prices, rates) - worth[tables.shift]
        wanted = _wanted(gain, tables.shift, chosen)
        if not wanted:
            break
        for at in wanted:
            share = chosen[at] = solver.NumVar(0, endless, "")
            solver.Objective().SetCoefficient(share, float(tables.minutes[at]))
            one[tables.shift[at]].SetCoefficient(share, 1)
            helped[tables.day[at]].SetCoefficient(share, float(tables.help[at]))
            for client in tables.members[at, : len(all_.sets[at].visits)]:
                once[client].SetCoefficient(share, 1)
        if solver.Solve() != pywraplp.Solver.OPTIMAL:
            break
    return Bound(least, tuple(chosen))


def _thousandths(rows: list[pywraplp.Constraint], solved: object) -> Numbers:
    """The prices of rows, never below nothing, in whole thousandths: sums of them are exact."""
    found = [max(0.0, row.dual_value()) if solved else 0.0 for row in rows]
    return np.ceil(np.array(found) * THOUSAND).astype(np.int64)


EACH_ROUND = 20
"""Sets of each shift that join the programme at once."""
GAIN = 200
"""Thousandths of minutes below which a set is not worth joining; the bound holds all the same."""


def _wanted(gain: Numbers, shift: Numbers, chosen: Collection[int]) -> list[int]:
    """The sets of each shift that gain most and have not joined."""
    taken: dict[int, int] = defaultdict(int)
    found = []
    for at in np.argsort(-gain):
        if gain[at] <= GAIN:
            break
        if at in chosen or taken[shift[at]] >= EACH_ROUND:
            continue
        taken[shift[at]] += 1
        found.append(int(at))
    return found


def who_when(all_: Listed, known: Bound, seconds: float) -> dict[str, int]:
    """By client, the day of a good choice of whole sets out of those looked at."""
    cp = cp_model.CpModel()
    literals = {at: cp.new_bool_var("") for at in known.looked_at}
    by_shift, by_visit, by_day = defaultdict(list), defaultdict(list), defaultdict(list)
    for at, literal in literals.items():
        each = all_.sets[at]
        by_shift[each.shift].append(literal)
        by_day[each.day].append(each.help * literal)
        for name in each.visits:
            by_visit[name].append(literal)
    for group in (*by_shift.values(), *by_visit.values()):
        cp.add_at_most_one(group)
    for day, terms in by_day.items():
        cp.add(sum(terms) <= all_.help[day])
    cp.maximize(sum(all_.sets[at].minutes * literal for at, literal in literals.items()))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(cp)
    if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return {}
    return {
        name: all_.sets[at].day
        for at, literal in literals.items()
        if solver.boolean_value(literal)
        for name in all_.sets[at].visits
    }


def best_plan(book: DayBook, all_: Listed, known: Bound, seconds: float) -> int:
    """Minutes of a plan for all requests known, which the checker has let pass.

    Each client is given to the day of `who_when`, and each day planned for `seconds`.
    """
    days = who_when(all_, known, CHOICE_SECONDS)
    kept = []
    for number, part in enumerate(part_days(book)):
        (hours,) = part.openings
        kept += [
            each.model_copy(update={"windows": tuple(w for w in each.windows if w.overlaps(hours))})
            for each in part.requests
            if days.get(each.id) == number
        ]
    asked = book.model_copy(update={"requests": tuple(kept)})
    plan = plan_days(asked, seconds=seconds * len(book.open)).plan
    placed = {visit.visit for visit in plan.visits} if plan else set()
    return sum(worth(each) for each in kept if each.id in placed)
