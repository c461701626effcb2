"""What a place costs the book, in minutes, with a sentence for each cost worth saying.

The weights are the owner's (see `schemas.ranking`).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from schemas.booking import Request
from schemas.ranking import RankingWeights
from schemas.resources import Chair, Role, StaffMember
from schemas.work import Performer
from solver.bits import Stretches
from solver.openings.crews import Way, needs_chair
from solver.openings.index import BookIndex
from solver.openings.worth import Worth

NAME = 60
"""Characters of a name in a sentence; longer ones are cut, so that a reason stays one line."""


@dataclass(frozen=True)
class Cost:
    """What a place costs the book, in minutes."""

    minutes: int
    chair: str | None
    wasted: int
    """Minutes of holes it leaves on the chair that no known visit fits."""
    idle: int
    """The same in the lead's day."""
    lost: int = 0
    """What the lead's free stretch is worth less."""
    morning: int = 0
    """Minutes of the lead's long free morning that it leaves no other long visit in; 0 for none."""


@dataclass
class Harm:
    """Judges places of one request against the index."""

    index: BookIndex
    request: Request
    chairs: tuple[str | None, ...]
    """Chairs to choose from; just None where no chair is needed."""
    weights: RankingWeights

    @classmethod
    def of_request(
        cls, index: BookIndex, request: Request, weights: RankingWeights | None = None
    ) -> Harm:
        """With all chairs that fit the request to choose from; the book's weights or others."""
        needed = needs_chair(request)
        chairs = index.fitting_chairs(request.chair_features) if needed else (None,)
        return cls(index, request, chairs, weights or index.day_book.ranking)

    def of(self, way: Way, start: int) -> Cost:
        """The cost of this way at `start`, on the chair where it is least."""
        common, idle, lost, morning = self._of_crew(way, start)
        best: tuple[int, str | None, int] | None = None
        for minutes, chair, wasted in self._each(way, start):
            if best is None or minutes < best[0]:
                best = minutes, chair, wasted
        assert best is not None, "the way does not fit there"
        return Cost(common + self._felt(best[0]), best[1], best[2], idle, lost, morning)

    def _felt(self, minutes: int) -> int:
        """The cost of a chair: it only chooses between chairs where there are more than leads."""
        return minutes if self.chairs_are_scarce else 0

    @cached_property
    def chairs_are_scarce(self) -> bool:
        leads = {own[0].person.id for own in self.index.hands.values() if _leads(own[0].person)}
        return len(self.chairs) <= len(leads)

    def options(self, way: Way, start: int) -> list[Cost]:
        """The costs of this way at `start` on each chair that is free, the least first."""
        common, idle, lost, morning = self._of_crew(way, start)
        return [
            Cost(common + self._felt(minutes), chair, wasted, idle, lost, morning)
            for minutes, chair, wasted in sorted(self._each(way, start), key=lambda each: each[0])
        ]

    def _each(self, way: Way, start: int) -> Iterator[tuple[int, str | None, int]]:
        """The cost on each chair that is free, and the minutes of holes it leaves there."""
        unit, shortest, end = self.index.raster.unit, self.shortest, start + way.layout.length
        split = self.weights.split_minutes
        for chair, stretches, clean in self.seats:
            if stretches is None:
                yield 0, chair, 0
                continue
            around = stretches.around(start, end)
            if around is None:
                continue
            before, after = around[0] * unit, around[1] * unit
            wasted = before if before - clean < shortest else 0
            wasted += after if after - clean < shortest else 0
            yield self._holes(wasted) + (split if before and after else 0), chair, wasted

    def _holes(self, minutes: int) -> int:
        return round(self.weights.hole_percent * minutes / 100)

    def reasons(self, way: Way, cost: Cost) -> list[str]:
        """The sentences of a cost."""
        reasons = []
        if cost.chair is not None:
            name = short(self.chair_by_id[cost.chair].name)
            reasons.append(
                f"Leaves {cost.wasted} minutes on {name} that no visit we know of fits."
                if cost.wasted
                else f"Leaves no hole on {name} that is too short to sell."
            )
        who = short(way.lead.person.name)
        if cost.idle:
            reasons.append(f"Leaves {who} {cost.idle} minutes that no visit we know of fits.")
        if cost.lost and self.weights.lost_percent:
            reasons.append(f"Takes {cost.lost} minutes of what {who} could still sell that day.")
        rare = self.scarce.get(way.lead.person.id)
        if cost.morning:
            reasons.append(
                f"Breaks {who}'s free {cost.morning} minutes in the morning; no visit of "
                f"{self.weights.morning_minutes} minutes fits there any more."
            )
        if rare is not None and self.weights.scarce_percent:
            reasons.append(f"Uses {who}, the only lead for {rare}, which this visit does not need.")
        return reasons

    def _of_crew(self, way: Way, start: int) -> tuple[int, int, int, int]:
        """The cost on any chair; minutes of holes in the lead's day, of what her free stretch is
        worth less, and of her long morning."""
        pieces, unit = way.layout.lead_pieces, self.index.raster.unit
        first, last = start + pieces[0][0], start + pieces[-1][1]
        before, after = _gaps(way.lead.stretches, first, last)
        worth = self._worth(way.lead.person)
        lost = worth(before + last - first + after) - worth(before) - worth(after)
        before, after = before * unit, after * unit
        idle = before if before < self.shortest else 0
        idle += after if after < self.shortest else 0
        cost = round(self.weights.lost_percent * lost / 100) + self._of_people(way)
        morning = 0
        if self.weights.morning_percent:
            morning = self._morning(first, before, (last - first) * unit, after)
            if morning:
                cost += round(self.weights.morning_percent * way.layout.length * unit / 100)
        return cost, idle, lost, morning

    def _worth(self, person: StaffMember) -> Worth:
        """What her free stretches are worth; the same for all who ask until the book changes."""
        key = person.id, self.shortest_led
        known = self.index.worths.get(key)
        if known is None:
            facts, unit = self.index.facts, self.index.raster.unit
            known = self.index.worths[key] = Worth.of(person, facts, unit, self.shortest_led)
        return known

    @cached_property
    def shortest_led(self) -> int:
        """Minutes of the shortest work that a visit asks of its lead, this request among them."""
        own = sum(w.minutes for w in self.request.phases if w.performer is Performer.LEAD)
        known = min((length for _, length in self.index.facts.led_work), default=own)
        return min(own, known) if own else known

    def _morning(self, first: int, before: int, work: int, after: int) -> int:
        """Minutes of a long free morning that this work breaks without being as long; else 0.

        `before` and `after` are what stays free beside the work.
        """
        least, raster = self.weights.morning_minutes, self.index.raster
        whole = before + work + after
        if whole < least or max(before, work, after) >= least:
            return 0
        half = bisect_right(self.index.facts.halves, first - before // raster.unit) - 1
        return whole if half % 2 == 0 else 0

    def _of_people(self, way: Way) -> int:
        """What it costs that these people do it, whenever they do."""
        rare, unit = self.scarce.get(way.lead.person.id), self.index.raster.unit
        minutes = 0 if rare is None else way.layout.length * unit
        return round(self.weights.scarce_percent * minutes / 100) + round(
            self.weights.assistant_percent * _assistant_slots(way) * unit / 100
        )

    @cached_property
    def seats(self) -> list[tuple[str | None, Stretches | None, int]]:
        """The chairs with when they are free, and the minutes of cleaning between two clients."""
        house = self.index.house
        return [
            (chair, None, 0)
            if chair is None
            else (
                chair,
                self.index.chair_stretches(chair),
                house.turnaround(self.chair_by_id[chair]),
            )
            for chair in self.chairs
        ]

    @cached_property
    def chair_by_id(self) -> dict[str, Chair]:
        return {chair.id: chair for chair in self.index.day_book.chairs}

    @cached_property
    def shortest(self) -> int:
        """Minutes of the shortest visit the book knows, this request among them."""
        own = sum(work.minutes for work in self.request.phases)
        known = self.index.facts.shortest_work
        return own if known is None else min(own, known)

    @cached_property
    def scarce(self) -> dict[str, str]:
        """Leads who alone can do what some other visit's lead has to, with that skill."""
        asked = {work.skill for work in self.request.phases}
        wanted = {each for each in self.index.facts.led_skills if each[0] not in asked}
        found: dict[str, str] = {}
        leads = [own[0].person for own in self.index.hands.values()]
        for skill, level in sorted(wanted):
            able = [p.id for p in leads if Role.LEAD in p.roles and p.masters(skill, level)]
            if len(able) == 1:
                found.setdefault(able[0], skill)
        return found


def _gaps(free: Stretches, start: int, end: int) -> tuple[int, int]:
    """Free slots just before `start` and just from `end` on, whatever lies between."""
    before = bisect_left(free.starts, start) - 1
    after = bisect_right(free.starts, end) - 1
    return (
        start - free.starts[before] if before >= 0 and free.ends[before] >= start else 0,
        free.ends[after] - end if after >= 0 and free.ends[after] > end else 0,
    )


def _leads(person: StaffMember) -> bool:
    return Role.LEAD in person.roles


def _assistant_slots(way: Way) -> int:
    if way.assistant is None:
        return 0
    return way.layout.help + sum(b - a for a, b in way.layout.assistant_pieces)


def short(name: str) -> str:
    return name if len(name) <= NAME else name[: NAME - 1] + "…"
