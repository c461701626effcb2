"""One visit more on a day that is placed, others moved as little as can be and no promise broken.

First it is inserted beside the visits as they are, with chairs named and breaks laid anew. What
that does not decide, or not well, the model does: it places everybody, tells as few people as can
be, and proves where there is no way. Tearing single visits down and laying them again was tried in
between; it took longer than the model and found less.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ortools.sat.python import cp_model

from solver.model import told as measures
from solver.model.ability import Ability, ability
from solver.model.board import Board, Laid
from solver.model.constraints import post_all
from solver.model.dues import Key
from solver.model.facts import Day
from solver.model.greedy import MANNERS
from solver.model.kept import lay_as_placed
from solver.model.laying import lay
from solver.model.matching import match_breaks
from solver.model.objective import Goal
from solver.model.placement import BreakPlacement, DayPlacement
from solver.model.read import hint_placement
from solver.model.repairing import QUICK_WEIGHTS, people_hearing, steps_moving
from solver.model.search import Budget, solve
from solver.model.told import RepairTask
from solver.model.variables import DayModel, build_variables

QUICK_SHARE = 0.1
"""Share of the time in which she is inserted without a model."""
LEAST_SHARE = 0.5
"""Share of the time left in which a way that was found is made to move less."""


@dataclass(frozen=True)
class Room:
    """Ways to place everybody, the best first; none: `impossible` says whether there can be one."""

    ways: tuple[DayPlacement, ...] = ()
    impossible: bool = False


def make_room(day: Day, task: RepairTask, newcomer: int, budget: Budget) -> Room:
    """Place every visit of the day, that of index `newcomer` too, which nobody was told of yet.

    `task` states what was told, and the breaks that were in `held.later`. Every visit of the day
    is a must.
    """
    inserting = _Inserting(day, task, newcomer, budget.part(budget.left * QUICK_SHARE))
    found = inserting.best()
    if found and inserting.heard(found[0]) <= 1 + _crew_beside_lead(day, found[0], newcomer):
        return Room(found)
    if budget.over:
        return Room(found)
    model = build_variables(day)
    post_all(model)
    if any(obstacle.visit is None or obstacle.visit.must for obstacle in model.obstacles):
        return Room(found, impossible=not found)
    _hint(model, found[0] if found else inserting.before)
    share = budget.part(budget.left * LEAST_SHARE) if found else budget
    answer = solve(model, _least(model, task), share, _unheard, light=True, hasty=True, guided=True)
    if answer.placement is None:
        return Room(found, impossible=answer.infeasible and not found)
    ways = [*found, answer.placement]
    return Room(tuple(sorted(ways, key=inserting.moved)))


def _crew_beside_lead(day: Day, placement: DayPlacement, visit: int) -> int:
    placed = next(each for each in placement.visits if each.visit == visit)
    people = {
        day.shifts[shift].person.id
        for phase in placed.phases
        for shift in (phase.shift, *(given.shift for given in phase.help))
    }
    return len(people - {placed.lead})


def _unheard(*_: object) -> None:
    """Nobody follows how this search gets on."""


def _least(model: DayModel, task: RepairTask) -> Goal:
    hearing = people_hearing(model, task)
    # Whoever can be left alone is left alone first: that leads to ways of which few must hear, and
    # to the proof that there is no way, in half the time.
    model.cp.add_decision_strategy(hearing, cp_model.CHOOSE_FIRST, cp_model.SELECT_MIN_VALUE)
    told = sum(hearing)
    moved = sum(steps_moving(model, task))
    weighed = cp_model.LinearExpr.weighted_sum([told, moved], QUICK_WEIGHTS[2:])
    return Goal("least-moved", "Tell few people, move little.", False, weighed, 1, 0)


def _hint(model: DayModel, placement: DayPlacement) -> None:
    """Start from a placement, or from one that leaves visits out."""
    placed = {each.visit for each in placement.visits}
    known = [visit for visit in model.visits if visit.facts.index in placed]
    hint_placement(replace(model, visits=known), placement)


@dataclass
class _Inserting:
    """Inserts the newcomer on a board on which the others stand as they were told."""

    day: Day
    task: RepairTask
    newcomer: int
    budget: Budget

    def __post_init__(self) -> None:
        self.board = Board(self.day)
        self.able = {visit.index: ability(self.day, visit) for visit in self.day.visits}
        self.told = match_breaks(self.day, self.task.held).later
        self.stood: dict[int, Laid] = {}
        for index, able in self.able.items():
            laid = lay_as_placed(self.board, able) if index != self.newcomer else None
            if laid is not None:
                self.board.put(laid)
                self.stood[index] = laid
        visits = tuple(laid.placement for laid in self.stood.values())
        self.before = DayPlacement(visits=visits, breaks=self._breaks() or (), declined=())

    def heard(self, placement: DayPlacement) -> int:
        return measures.people_told(self.day, self.task, placement)

    def moved(self, placement: DayPlacement) -> tuple[int, int]:
        """How many people hear something new, and the steps moved."""
        return self.heard(placement), measures.steps_moved(self.day, self.task, placement)

    def best(self) -> tuple[DayPlacement, ...]:
        """The way that moves least, its breaks as they were told and then as early as can be."""
        missing = set(self.able) - set(self.stood) - {self.newcomer}
        if missing:
            return ()  # something does not hold as it stands
        return min(self._beside(), key=lambda way: self.moved(way[0]), default=())

    def _beside(self) -> Iterator[tuple[DayPlacement, ...]]:
        """The newcomer at her earliest start with each lead, all others as they stand."""
        able = self.able[self.newcomer]
        for lead in able.leads:
            laid = self._laid(able, lead)
            if laid is None:
                continue
            self.board.put(laid)
            yield from self._written()
            self.board.keep_only(set(self.stood))

    def _laid(self, able: Ability, lead: str) -> Laid | None:
        """The first start that goes with this lead in any manner."""
        for start in able.starts:
            for manner in MANNERS:
                if self.budget.over:
                    return None
                laid = lay(self.board, able, lead, start, manner)
                if laid is not None:
                    return laid
        return None

    def _written(self) -> Iterator[tuple[DayPlacement, ...]]:
        """The board as placements, if all breaks have their place."""
        breaks = self._breaks()
        if breaks is None:
            return
        visits = tuple(laid.placement for _, laid in sorted(self.board.laid.items()))
        plain = DayPlacement(visits=visits, breaks=breaks, declined=())
        settled = replace(plain, breaks=tuple(self._settled(breaks)))
        yield (settled,) if settled == plain else (settled, plain)

    def _breaks(self) -> tuple[BreakPlacement, ...] | None:
        return self.board.break_placements()

    def _settled(self, breaks: tuple[BreakPlacement, ...]) -> Iterator[BreakPlacement]:
        """The breaks between duties, each at the time it was told where that is free."""
        at = {rest.due.key: rest.start for rest in breaks}
        for rest in breaks:
            key, told = rest.due.key, self.told.get(rest.due.key)
            if told is None or rest.inside is not None or told.inside is not None:
                continue
            taken = self.board.busy[rest.due.shift]
            for other in breaks:
                if other.due.shift == rest.due.shift and other is not rest:
                    begin = at[other.due.key]
                    taken |= self.board.mask(begin, begin + other.due.size)
            if not taken & self.board.mask(told.start, told.start + rest.due.size):
                at[key] = told.start
        if not _in_order(breaks, at):
            yield from breaks
            return
        for rest in breaks:
            yield replace(rest, start=at[rest.due.key])


def _in_order(breaks: tuple[BreakPlacement, ...], at: dict[Key, int]) -> bool:
    """Whether each break comes after the one that it is due behind."""
    ends = {rest.due.key: at[rest.due.key] + rest.due.size for rest in breaks}
    return all(
        rest.due.after not in ends or at[rest.due.key] >= ends[rest.due.after] for rest in breaks
    )
