"""A first plan in a moment: insert the visits one by one, then tear parts down and build again.

Ruin and recreate (Schrimpf and others, Journal of Computational Physics 159, 2000): take some
visits off the board, put all that wait back in an order with a little chance in it, keep what is
worth as much. Rounds are counted, not timed, so a seed gives the same plan wherever the time does.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from schemas.booking import Request
from solver.model.ability import Ability, ability
from solver.model.board import Board, Laid
from solver.model.facts import Day
from solver.model.kept import lay_as_placed
from solver.model.laying import Manner, lay
from solver.model.placement import DayPlacement
from solver.model.scope import concerns_visit

MANNERS = (
    Manner(1, eat_inside=False),
    Manner(2, eat_inside=False),
    Manner(1, eat_inside=True),
    Manner(0, eat_inside=False),
)


class Greedy:
    """Builds placements of one day. `best` is None until every promise has its place."""

    def __init__(self, day: Day, seed: int) -> None:
        self.day = day
        self.random = Random(seed)  # noqa: S311 - chance in a search, nothing secret
        self.board = Board(day)
        self.able = {visit.index: ability(day, visit) for visit in day.visits}
        self.value = -1
        self.cost = 0
        self.best: DayPlacement | None = None
        self.worth = sum(visit.value for visit in day.visits)

    def run(self, over: Callable[[], bool], better: Callable[[DayPlacement], None]) -> None:
        """First plan, then rounds until all is accepted, none helps for long, or `over` says so."""
        for able in self.able.values():
            # What is booked and placed stays where it is, if it can.
            laid = lay_as_placed(self.board, able)
            if laid is not None:
                self.board.put(laid)
        self._fill(noise=0.0)
        self._note(better)
        kept = set(self.board.laid)
        idle, patience = 0, len(self.day.visits) ** 2
        while idle < patience and self.value < self.worth and not over():
            idle += 1
            before = dict(self.board.laid)
            self.board.keep_only(kept - self._ruined(kept))
            self._fill(noise=0.3)
            if self._value() < self._value_of(before):
                self.board.clear()
                for laid in before.values():
                    self.board.put(laid)
            elif self._note(better):
                idle = 0
            kept = set(self.board.laid)

    def _value(self) -> int:
        return self._value_of(self.board.laid)

    def _value_of(self, laid: dict[int, Laid]) -> int:
        """Worth on the board; a promise missing weighs more than everything there is to accept."""
        promised = sum(self.day.visits[visit].must for visit in laid)
        return promised * (self.worth + 1) + sum(self.day.visits[visit].value for visit in laid)

    def _note(self, better: Callable[[DayPlacement], None]) -> bool:
        """Keep the board as the best placement if it is one and is worth more."""
        missing = [visit for visit in self.day.visits if visit.index not in self.board.laid]
        if any(visit.must for visit in missing):
            return False
        value = self.worth - sum(visit.value for visit in missing)
        breaks = self.board.break_placements()
        if value <= self.value or breaks is None:
            return False
        self.value = value
        self.best = DayPlacement(
            visits=tuple(laid.placement for _, laid in sorted(self.board.laid.items())),
            breaks=breaks,
            declined=tuple(visit.index for visit in missing),
        )
        better(self.best)
        return True

    def _ruined(self, kept: set[int]) -> set[int]:
        """The visits of one or two leads, or those around one moment."""
        if not kept:
            return set()
        chosen = self.board.laid[self.random.choice(sorted(kept))].placement
        if self.random.random() < 0.5:
            leads = {chosen.lead, self.board.laid[self.random.choice(sorted(kept))].placement.lead}
            return {v for v in kept if self.board.laid[v].placement.lead in leads}
        size = self.random.randint(1, max(1, len(kept) // 3))
        near = sorted(
            kept, key=lambda v: (abs(self.board.laid[v].placement.start - chosen.start), v)
        )
        return set(near[:size])

    def _fill(self, noise: float) -> None:
        """Insert what is missing: promises first, then by worth for each minute of work."""
        waiting = [v for v in self.day.visits if v.index not in self.board.laid]
        chance = {v.index: 1 + noise * self.random.uniform(-1, 1) for v in waiting}
        density = {
            v.index: chance[v.index] * v.value / sum(phase.minutes for phase in v.phases)
            for v in waiting
        }
        size = {v.index: sum(phase.minutes for phase in v.phases) for v in waiting}
        waiting.sort(
            key=lambda v: (
                not v.must,
                len(self.able[v.index].starts) if v.must else 0,
                -size[v.index] * chance[v.index] if v.must else -density[v.index],
                v.index,
            )
        )
        for visit in waiting:
            laid = self._insert(self.able[visit.index], noise)
            if laid is not None:
                self.board.put(laid)

    def _insert(self, able: Ability, noise: float) -> Laid | None:
        """The cheapest place over leads and manners, each at its earliest start."""
        best, least = None, float("inf")
        manners = MANNERS if not noise else self.random.sample(MANNERS, 2)
        for lead in able.leads:
            for manner in manners:
                laid = self._earliest(able, lead, manner)
                if laid is None:
                    continue
                cost = self._cost(able, laid) * (1 + noise * self.random.uniform(-1, 1))
                if cost < least:
                    best, least = laid, cost
        return best

    def _earliest(self, able: Ability, lead: str, manner: Manner) -> Laid | None:
        runs = self._own_runs(able, lead)
        if runs == 0:
            return None
        least, most = able.before
        for start in able.starts:
            if runs is not None and not runs & self.board.mask(start + least, start + most + 1):
                continue
            laid = lay(self.board, able, lead, start, manner)
            if laid is not None:
                return laid
        return None

    def _own_runs(self, able: Ability, lead: str) -> int | None:
        """Where the lead is free for her longest own phase; None where she has none."""
        if able.own is None:
            return None
        found = 0
        for shift in able.performers[able.own]:
            if self.day.shifts[shift].person.id == lead:
                found |= self.board.runs(shift, able.own_steps)
        return found

    def _cost(self, able: Ability, laid: Laid) -> float:
        """Early ends and few hands are cheap; a preference bent costs a little."""
        placed, visit = laid.placement, able.visit.visit
        low, _ = self.day.horizon
        hands = sum(mask.bit_count() for mask in laid.masks.values())
        cost = 1.0 + (placed.end - low) + 0.5 * hands
        rule = self.day.setting("preferred-lead")
        if rule and visit.preferred_lead not in {None, placed.lead}:
            cost += 2 if concerns_visit(rule, able.visit) else 0
        if isinstance(visit, Request) and visit.preferred is not None:
            start, end = self.day.steps(visit.preferred)
            cost += 0.2 * max(0, start - placed.start, placed.start - end)
        return cost
