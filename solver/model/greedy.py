"""A first plan in a moment: insert the visits one by one, then tear parts down and build again.

Ruin and recreate (Schrimpf and others, Journal of Computational Physics 159, 2000): take a few
visits that lie near each other off the board, put all that wait back in an order with a little
chance in it. What is worth less is kept now and then, the less often the longer the search goes on
(Kirkpatrick and others, Science 220, 1983). Few visits torn down and few leads looked at make many
rounds, which is worth more than thorough ones. Rounds are counted, not timed, so a seed gives the
same plan wherever the time does.
"""

from __future__ import annotations

from collections.abc import Callable
from math import log
from random import Random

from schemas.booking import Request
from solver.model.ability import Ability, ability
from solver.model.board import Board, Laid
from solver.model.cost import cost
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
FIRST = (4, 1)
"""Leads and manners tried for each visit of the very first plan."""
LEADS = 8
"""Leads tried for each visit in a round."""
WAYS = 1
"""Manners tried for each lead in a round."""
NOISE = 0.15
"""Chance in the order of visits and in the cost of places."""
RUINED = 2
"""Visits torn down in most rounds."""
WHOLE_LEADS = 0.1
"""Share of rounds in which the days of two leads are torn down."""
GUIDED = 0.3
"""Share of rounds that go by the guide, where there is one."""
OFFERED = 10
"""Visits that are offered a place in a round, the most worth for their work first."""
WARMTH = 0.08
"""Worth of an average request that is given up lightly at the beginning."""
ROUNDS = 2_000
"""Rounds until the search has grown cold; then it is warmed up again."""
OPENED = 0.8
"""Share of rounds in which visits are offered only to the leads whose days were torn open: with the
others nothing has changed that would let them in, help apart."""
PATIENCE = 10
"""It gives up after so many rounds without a better plan: the cube of the visits over this. Days of
few visits are soon searched by the model; large ones are for rounds alone."""


class Greedy:
    """Builds placements of one day. `best` is None until every promise has its place."""

    def __init__(self, day: Day, seed: int) -> None:
        self.day = day
        self.random = Random(seed)  # noqa: S311 - chance in a search, nothing secret
        self.board = Board(day)
        self.able = {visit.index: ability(day, visit) for visit in day.visits}
        self.value = -1
        self.bent: tuple[int, ...] = ()
        """What the best placement costs in the tiers after the first."""
        self.best: DayPlacement | None = None
        self.worth = sum(visit.value for visit in day.visits)
        self.ceiling = self.worth
        """No more than this can be accepted: reaching it ends the search."""
        self.guide: dict[int, str] = {}
        """Who would lead what if hands were all that counts."""
        self.begun = False
        self.opened: set[str] = set()
        """Leads that visits are offered to in this round; empty for all."""
        self.over: Callable[[], bool] = lambda: False
        self.guided = False
        """This round goes by the guide."""
        self.work = {
            visit.index: sum(phase.minutes for phase in visit.phases) for visit in day.visits
        }

    def begin(
        self,
        over: Callable[[], bool],
        better: Callable[[DayPlacement], None],
        late: Callable[[], bool] | None = None,
    ) -> None:
        """Lay what is placed already where it is, and the first plan round it; then a thorough one.

        The thorough one ends where `over` says so. The first plan is for whoever says stop at once
        too; it only ends unfinished where it is `late`.
        """
        for able in self.able.values():
            laid = lay_as_placed(self.board, able)
            if laid is not None:
                self.board.put(laid)
        self.begun = True
        placed = dict(self.board.laid)
        self.over = late or over
        self._fill(0.0, *FIRST)
        self._note(better)
        hasty = dict(self.board.laid)
        self._restore(placed)
        self.over = over
        self._fill(0.0, len(self.day.shifts), len(MANNERS))
        self._note(better)
        if self._value_of(hasty) > self._value():
            self._restore(hasty)

    def run(self, over: Callable[[], bool], better: Callable[[DayPlacement], None]) -> None:
        """First plan, then rounds until all is accepted, none helps for long, or `over` says so."""
        if self.begun:
            self.over = over
        else:
            self.begin(over, better, lambda: False)
        patience = len(self.day.visits) ** 3 // PATIENCE
        warmth = WARMTH * self.worth / max(1, sum(not visit.must for visit in self.day.visits))
        idle = rounds = 0
        now = self._value()
        while idle < patience and self.value < self.ceiling and not over():
            idle += 1
            heat = warmth * max(0.02, 1 - rounds % ROUNDS / ROUNDS)
            rounds += 1
            before = dict(self.board.laid)
            kept = set(before)
            self.guided = bool(self.guide) and self.random.random() < GUIDED
            ruined = self._ruined(kept)
            self.opened = set()
            if self.random.random() < OPENED:
                self.opened = {before[visit].placement.lead for visit in ruined}
            self.board.keep_only(kept - ruined)
            self._fill(NOISE, LEADS, WAYS)
            value = self._value()
            if value < now + heat * log(1 - self.random.random()):
                self._restore(before)
                continue
            now = value
            if self._note(better):
                idle = 0

    def _restore(self, laid: dict[int, Laid]) -> None:
        self.board.clear()
        for each in laid.values():
            self.board.put(each)

    def _value(self) -> int:
        return self._value_of(self.board.laid)

    def _value_of(self, laid: dict[int, Laid]) -> int:
        """Worth on the board; a promise missing weighs more than everything there is to accept."""
        promised = sum(self.day.visits[visit].must for visit in laid)
        return promised * (self.worth + 1) + sum(self.day.visits[visit].value for visit in laid)

    def _note(self, better: Callable[[DayPlacement], None]) -> bool:
        """Keep the board as the best placement if it is worth more, or as much and bends less."""
        missing = [visit for visit in self.day.visits if visit.index not in self.board.laid]
        if any(visit.must for visit in missing):
            return False
        value = self.worth - sum(visit.value for visit in missing)
        if value < self.value:
            return False
        breaks = self.board.break_placements()
        if breaks is None:
            return False
        placement = DayPlacement(
            visits=tuple(laid.placement for _, laid in sorted(self.board.laid.items())),
            breaks=breaks,
            declined=tuple(visit.index for visit in missing),
        )
        bent = self._bent(placement)
        if value == self.value and bent >= self.bent:
            return False
        worth_more = value > self.value
        self.value, self.bent, self.best = value, bent, placement
        if worth_more:
            better(placement)
        return worth_more

    def _bent(self, placement: DayPlacement) -> tuple[int, ...]:
        """The tiers after the first: soft rules, the last finish, the time clients stay."""
        ends = [placed.end for placed in placement.visits]
        stay = sum(placed.end - placed.start for placed in placement.visits)
        return cost(self.day, placement), max(ends, default=0), stay

    def _ruined(self, kept: set[int]) -> set[int]:
        """A few visits near one of them in time or by lead, or all those of two leads."""
        if not kept:
            return set()
        laid, random = self.board.laid, self.random
        if self.guided:
            # Whoever is with another lead than the guide's, and the whole day of one lead.
            lead = random.choice(sorted(self.guide.values()))
            return {
                visit
                for visit in kept
                if laid[visit].placement.lead == lead
                or laid[visit].placement.lead != self.guide.get(visit)
            }
        chosen = laid[random.choice(sorted(kept))].placement
        if random.random() < WHOLE_LEADS:
            leads = {chosen.lead, laid[random.choice(sorted(kept))].placement.lead}
            return {visit for visit in kept if laid[visit].placement.lead in leads}
        by_time = 2 * random.random()

        def far(visit: int) -> float:
            placed = laid[visit].placement
            apart = by_time * abs(placed.start - chosen.start)
            return apart + (0 if placed.lead == chosen.lead else 30) + 24 * random.random()

        near = sorted(sorted(kept), key=far)
        return set(near[: random.randint(1, RUINED)])

    def _fill(self, noise: float, leads: int, manners: int) -> None:
        """Insert what is missing: promises first, then by worth for each minute of work."""
        waiting = [v for v in self.day.visits if v.index not in self.board.laid]
        chance = {v.index: 1 + noise * self.random.uniform(-1, 1) for v in waiting}
        size = self.work
        waiting.sort(
            key=lambda v: (
                not v.must,
                self.guided and v.index not in self.guide,
                len(self.able[v.index].starts) if v.must else 0,
                -chance[v.index] * (size[v.index] if v.must else v.value / size[v.index]),
                v.index,
            )
        )
        if noise:
            promised = sum(visit.must for visit in waiting)
            waiting = waiting[: promised + OFFERED]
        for visit in waiting:
            if self.over():
                break
            laid = self._insert(self.able[visit.index], noise, leads, manners)
            if laid is not None:
                self.board.put(laid)

    def _insert(self, able: Ability, noise: float, leads: int, manners: int) -> Laid | None:
        """The cheapest place over some leads and manners, each at its earliest start."""
        best, least = None, float("inf")
        some = able.leads
        if self.guided and able.visit.index in self.guide:
            some = (self.guide[able.visit.index],)
        elif noise and self.opened:
            some = tuple(each for each in some if each in self.opened)
        elif len(some) > leads:
            some = tuple(self.random.sample(some, leads))
        ways = self.random.sample(MANNERS, manners) if noise else MANNERS[:manners]
        for lead in some:
            for manner in ways:
                laid = self._earliest(able, lead, manner)
                if laid is None:
                    continue
                dear = self._cost(able, laid) * (1 + noise * self.random.uniform(-1, 1))
                if dear < least:
                    best, least = laid, dear
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
        dear = 1.0 + (placed.end - low) + 0.5 * hands
        rule = self.day.setting("preferred-lead")
        if rule and visit.preferred_lead not in {None, placed.lead}:
            dear += 2 if concerns_visit(rule, able.visit) else 0
        if isinstance(visit, Request) and visit.preferred is not None:
            start, end = self.day.steps(visit.preferred)
            dear += 0.2 * max(0, start - placed.start, placed.start - end)
        return dear
