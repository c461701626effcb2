"""Repair a day: hold the past, break as few promises as can be, tell as few people as can be.

Tiers: `broken-promises`, `turned-away`, `people-told`, `minutes-moved`. First a quick answer that
moves only the visits near the events, all tiers weighed in one sum; then each tier on the whole
day, from that answer on.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from solver.model import told as measures
from solver.model.constraints import post_all
from solver.model.facts import Day
from solver.model.holding import post_held, post_held_breaks
from solver.model.matching import match_breaks
from solver.model.objective import Goal
from solver.model.placement import DayPlacement
from solver.model.read import hint_placement
from solver.model.search import Budget, OnTier, TierResult, solve
from solver.model.told import (
    FINISH_WEIGHT,
    LEAD_WEIGHT,
    START_WEIGHT,
    Owed,
    RepairTask,
    ToldVisit,
)
from solver.model.variables import DayModel, Literal, VisitVar, build_variables

QUICK_WEIGHTS = (1_000_000, 100_000, 300, 1)
"""What the tiers weigh in the quick answer, first to last."""
TIER_SHARE = 0.5
"""Share of the time still left that a tier may take."""
Measure = Callable[[Day, RepairTask, DayPlacement], int]


@dataclass(frozen=True)
class Repaired:
    """A placement, or none: `impossible` says whether there can be none."""

    placement: DayPlacement | None
    tiers: tuple[TierResult, ...] = ()
    impossible: bool = False


DEPTHS = 3
"""How far from the events a quick answer may reach."""


class Repairer:
    """One day's model; built once, asked for a quick answer first and for better ones after."""

    def __init__(self, day: Day, task: RepairTask, report: OnTier) -> None:
        matching = match_breaks(day, task.held)
        self.day = replace(day, answered=frozenset(matching.shared))
        self.task, self.report = task, report
        self.model = model = build_variables(self.day)
        post_held_breaks(model, matching)
        post_all(model)
        post_held(model, task.held, matching)
        self.impossible = any(
            obstacle.visit is None or obstacle.visit.must for obstacle in model.obstacles
        )
        self.listing = _goals(model, task)

    def reached(self, placement: DayPlacement) -> tuple[int, ...]:
        """What a placement reaches on each tier, first to last; less is better."""
        return tuple(measure(self.day, self.task, placement) for _, measure in self.listing)

    def quick(
        self, depth: int, budget: Budget, start: DayPlacement | None = None
    ) -> DayPlacement | None:
        """An answer in which all that is far from the events stays as it was told.

        At depth 0 the events' own visits move, at 1 those of the same people too, at 2 those of
        their people. None where that cannot be, or the time does not do. `start` is an answer
        of less depth to begin from.
        """
        nearest = list(_neighbourhoods(self.task))
        if self.impossible or budget.over or depth >= len(nearest):
            return None
        weighed = cp_model.LinearExpr.weighted_sum(
            [goal.expression for goal, _ in self.listing], QUICK_WEIGHTS
        )
        whole = Goal("quick", "Everything at once.", False, weighed, 1, 0)
        cut = replace(self.model, cp=self.model.cp.clone())
        for visit in self.model.visits:
            told = self.task.told.get(visit.facts.id)
            if told is not None and visit.facts.id not in nearest[depth]:
                _stays(cut.cp, self.day, visit, told)
        if start is not None:
            hint_placement(cut, start)
        best = solve(cut, whole, budget, lambda *_: None, light=True).placement
        if best is not None:
            self._tell(best)
        return best

    def _tell(self, placement: DayPlacement) -> None:
        for goal, measure in self.listing:
            self.report(goal, measure(self.day, self.task, placement), 0)

    def improve(self, best: DayPlacement | None, budget: Budget) -> Repaired:
        """Each tier on the whole day, from a placement on, if there is one."""
        results = []
        if self.impossible:
            return Repaired(None, impossible=True)
        for goal, measure in self.listing:
            value = None if best is None else measure(self.day, self.task, best)
            bound = 0
            if value != 0:
                if best is not None:
                    hint_placement(self.model, best)
                share = budget.part(budget.left * TIER_SHARE)
                answer = solve(self.model, goal, share, self.report, light=True)
                if answer.infeasible and best is None:
                    return Repaired(None, impossible=True)
                best = answer.placement or best
                bound = max(0, answer.bound or 0)
            if best is None:
                return Repaired(None)
            value = measure(self.day, self.task, best)
            self.model.cp.add(goal.expression <= value)
            proved = min(bound, value)
            results.append(TierResult(goal, value * goal.factor, proved * goal.factor))
            self.report(goal, value, proved)
        return Repaired(best, tuple(results))


def _neighbourhoods(task: RepairTask) -> Iterator[set[str]]:
    """The visits that may move: those the events touch, then once and twice their people's.

    Where that reaches nobody new, everything that has not begun yet.
    """
    near = set(task.near)
    yield set(near)
    for _ in range(DEPTHS - 1):
        people = {
            person for name in near if name in task.told for person in _people(task.told[name])
        }
        wider = near | {name for name, told in task.told.items() if people & _people(told)}
        if wider == near:
            wider |= set(task.told) - set(task.held.visits)
        if wider == near:
            return
        near = wider
        yield set(near)


def _people(told: ToldVisit) -> set[str]:
    """Everybody still needed on a visit."""
    return {
        person
        for phase in told.phases
        if not phase.over
        for person in (phase.performer, *phase.help)
    }


def _stays(cp: cp_model.CpModel, day: Day, visit: VisitVar, told: ToldVisit) -> None:
    cp.add(visit.present == 1)
    for person, literal in visit.leads.items():
        cp.add(literal == int(person == told.lead))
    for phase, old in zip(visit.phases, told.phases, strict=True):
        cp.add(phase.start == old.start)
        for index, literal in phase.performer.items():
            if day.shifts[index].person.id != old.performer:
                cp.add(literal == 0)
        for index, help_ in phase.help.items():
            span = old.help.get(day.shifts[index].person.id)
            if span is None:
                cp.add(help_.present == 0)


def _goals(model: DayModel, task: RepairTask) -> list[tuple[Goal, Measure]]:
    grid = model.day.grid
    told, moved = people_hearing(model, task), steps_moving(model, task)
    away = [1 - visit.present for visit in model.visits if visit.facts.id in task.wanted]
    return [
        (
            Goal(
                "broken-promises",
                "Break as few promises as can be.",
                False,
                sum(_broken(model, task)),
                1,
                0,
            ),
            measures.broken,
        ),
        (
            Goal("turned-away", "Take in who is at the door.", False, sum(away), 1, 0),
            measures.turned_away,
        ),
        (
            Goal(
                "people-told", "Tell as few people something new as can be.", False, sum(told), 1, 0
            ),
            measures.people_told,
        ),
        (
            Goal(
                "minutes-moved",
                "Move starts, finishes and breaks as little as can be.",
                False,
                sum(moved),
                grid,
                0,
            ),
            measures.steps_moved,
        ),
    ]


def _broken(model: DayModel, task: RepairTask) -> list[cp_model.LinearExprT]:
    costs: list[cp_model.LinearExprT] = []
    for visit in model.visits:
        name = visit.facts.id
        if not visit.facts.must and name not in task.wanted:
            costs.append(task.weights[name] * (1 - visit.present))
        if name in task.owed:
            costs += _owed(model, visit, task.owed[name])
    return costs


def _owed(model: DayModel, visit: VisitVar, owed: Owed) -> list[cp_model.LinearExprT]:
    cp, grid, name = model.cp, model.day.grid, visit.facts.id
    moved = model.new_bool(f"{name} starts off its promise")
    cp.add(grid * visit.start >= owed.start - owed.tolerance).only_enforce_if(~moved, visit.present)
    cp.add(grid * visit.start <= owed.start + owed.tolerance).only_enforce_if(~moved, visit.present)
    costs: list[cp_model.LinearExprT] = [START_WEIGHT * moved]
    if owed.lead is not None:
        hers = visit.leads.get(owed.lead)
        costs.append(LEAD_WEIGHT * (visit.present - (0 if hers is None else hers)))
    if owed.latest_finish is not None:
        late = model.new_bool(f"{name} ends late")
        cp.add(grid * visit.end <= owed.latest_finish).only_enforce_if(~late, visit.present)
        costs.append(FINISH_WEIGHT * late)
    return costs


def people_hearing(model: DayModel, task: RepairTask) -> list[Literal]:
    """A literal for each client and each person, true if she hears something new."""
    cp, heard = model.cp, list[Literal]()
    staff: dict[str, Literal] = {}
    for shift in model.day.shifts:
        if shift.person.id not in staff:
            staff[shift.person.id] = model.new_bool(f"{shift.person.id} hears")
    for visit in model.visits:
        told = task.told.get(visit.facts.id)
        if told is not None:
            client = model.new_bool(f"{visit.facts.id} hears")
            heard.append(client)
            cp.add_bool_or([visit.present, client])
            cp.add(visit.start == told.start).only_enforce_if(~client)
            cp.add(visit.end == told.end).only_enforce_if(~client)
            hers = visit.leads.get(told.lead)
            cp.add_bool_or([client] if hers is None else [hers, client])
        _staff_hears(model, visit, told, staff)
    for key, told_break in match_breaks(model.day, task.held).later.items():
        if key in model.breaks:
            same = cp.add(model.breaks[key].start == told_break.start)
            same.only_enforce_if(~staff[told_break.staff], model.breaks[key].taken)
    return [*heard, *staff.values()]


def _staff_hears(
    model: DayModel, visit: VisitVar, told: ToldVisit | None, staff: dict[str, Literal]
) -> None:
    cp, shifts = model.cp, model.day.shifts
    for phase in visit.phases:
        old = told.phases[phase.number] if told is not None else None
        if old is not None and old.over:
            continue
        performs: dict[str, list[Literal]] = defaultdict(list)
        for index, literal in phase.performer.items():
            performs[shifts[index].person.id].append(literal)
        for person, literals in performs.items():
            if old is None or person != old.performer:
                for literal in literals:
                    cp.add_implication(literal, staff[person])
        if old is not None and old.performer in staff:
            hers = staff[old.performer]
            cp.add_bool_or([*performs.get(old.performer, []), hers])
            cp.add(phase.start == old.start).only_enforce_if(~hers)
            cp.add(phase.end == old.end).only_enforce_if(~hers)
        given = dict(old.help) if old is not None else {}
        for index, help_ in phase.help.items():
            person = shifts[index].person.id
            start, end = given.get(person, (None, None))
            if start is None or not shifts[index].start <= start < shifts[index].end:
                cp.add_implication(help_.present, staff[person])
                continue
            cp.add(help_.present == 1).only_enforce_if(~staff[person])
            cp.add(help_.start == start).only_enforce_if(~staff[person])
            cp.add(help_.end == end).only_enforce_if(~staff[person])


def steps_moving(model: DayModel, task: RepairTask) -> list[cp_model.LinearExprT]:
    cp, moved = model.cp, list[cp_model.LinearExprT]()
    low, high = model.day.horizon
    reach = 2 * (high - low) + 400

    def distance(value: cp_model.LinearExprT, told: int, where: Literal) -> None:
        away = cp.new_int_var(0, reach, "moved")
        cp.add(away >= value - told).only_enforce_if(where)
        cp.add(away >= told - value).only_enforce_if(where)
        moved.append(away)

    for visit in model.visits:
        told = task.told.get(visit.facts.id)
        if told is not None:
            distance(visit.start, told.start, visit.present)
            distance(visit.end, told.end, visit.present)
        if visit.facts.id in task.wanted:
            distance(visit.end, task.held.now or 0, visit.present)
    for key, told_break in match_breaks(model.day, task.held).later.items():
        if key in model.breaks:
            distance(model.breaks[key].start, told_break.start, model.breaks[key].taken)
    return moved
