"""What a place costs the book, in minutes, with a sentence for each cost worth saying.

All weights are house figures (common practice, no source).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from schemas.booking import Request
from schemas.resources import Chair, Role
from solver.bits import Stretches
from solver.openings.crews import Way, needs_chair
from solver.openings.index import BookIndex

SCARCE_SHARE = 0.2
"""Cost of a minute of the only lead for a skill, where the request does not ask for it."""
ASSISTANT_SHARE = 0.25
"""Cost of a minute of an assistant, who could serve another head."""
SPLIT = 15
"""Cost of cutting a chair's free stretch in two."""
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


@dataclass
class Harm:
    """Judges places of one request against the index."""

    index: BookIndex
    request: Request
    chairs: tuple[str | None, ...]
    """Chairs to choose from; just None where no chair is needed."""

    @classmethod
    def of_request(cls, index: BookIndex, request: Request) -> Harm:
        """With all chairs that fit the request to choose from."""
        needed = needs_chair(request)
        chairs = index.fitting_chairs(request.chair_features) if needed else (None,)
        return cls(index, request, chairs)

    def of(self, way: Way, start: int) -> Cost:
        """The cost of this way at `start`, on the chair where it is least."""
        best: Cost | None = None
        for chair, minutes, wasted, idle in self._each(way, start):
            if best is None or minutes < best.minutes:
                best = Cost(minutes, chair, wasted, idle)
        assert best is not None, "the way does not fit there"
        return best

    def options(self, way: Way, start: int) -> list[Cost]:
        """The costs of this way at `start` on each chair that is free, the least first."""
        found = [
            Cost(minutes, chair, wasted, idle)
            for chair, minutes, wasted, idle in self._each(way, start)
        ]
        return sorted(found, key=lambda cost: cost.minutes)

    def _each(self, way: Way, start: int) -> Iterator[tuple[str | None, int, int, int]]:
        """By chair that is free: the cost, the holes on the chair, and those in the lead's day."""
        length = way.layout.length
        idle = self._lead(way, start)
        common = idle + self._of_people(way)
        unit, shortest, end = self.index.raster.unit, self.shortest, start + length
        for chair, stretches, clean in self.seats:
            if stretches is None:
                yield chair, common, 0, idle
                continue
            around = stretches.around(start, end)
            if around is None:
                continue
            before, after = around[0] * unit, around[1] * unit
            wasted = before if before - clean < shortest else 0
            wasted += after if after - clean < shortest else 0
            yield chair, common + wasted + (SPLIT if before and after else 0), wasted, idle

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
        rare = self.scarce.get(way.lead.person.id)
        if rare is not None:
            reasons.append(f"Uses {who}, the only lead for {rare}, which this visit does not need.")
        return reasons

    def _lead(self, way: Way, start: int) -> int:
        """Minutes of holes in the lead's day."""
        pieces, unit = way.layout.lead_pieces, self.index.raster.unit
        first, last = start + pieces[0][0], start + pieces[-1][1]
        before, after = _gaps(way.lead.stretches, first, last)
        before, after = before * unit, after * unit
        return (before if before < self.shortest else 0) + (after if after < self.shortest else 0)

    def _of_people(self, way: Way) -> int:
        """What it costs that these people do it, whenever they do."""
        rare, unit = self.scarce.get(way.lead.person.id), self.index.raster.unit
        scarce = 0 if rare is None else round(SCARCE_SHARE * way.layout.length * unit)
        return scarce + round(ASSISTANT_SHARE * _assistant_slots(way) * unit)

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


def _assistant_slots(way: Way) -> int:
    if way.assistant is None:
        return 0
    return way.layout.help + sum(b - a for a, b in way.layout.assistant_pieces)


def short(name: str) -> str:
    return name if len(name) <= NAME else name[: NAME - 1] + "…"
