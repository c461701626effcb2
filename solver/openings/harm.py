"""What a place costs the book, in minutes, with a sentence for each cost worth saying.

All weights are house figures (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from schemas.booking import Request
from schemas.resources import Chair, Role
from solver.bits import span
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
    memo: dict[object, tuple[int, int]] = field(default_factory=dict)

    @classmethod
    def of_request(cls, index: BookIndex, request: Request) -> Harm:
        """With all chairs that fit the request to choose from."""
        needed = needs_chair(request)
        chairs = index.fitting_chairs(request.chair_features) if needed else (None,)
        return cls(index, request, chairs)

    def of(self, way: Way, start: int) -> Cost:
        """The cost of this way at `start`, on the chair where it is least."""
        return min(self.options(way, start), key=lambda cost: cost.minutes)

    def options(self, way: Way, start: int) -> list[Cost]:
        """The costs of this way at `start` on each chair that is free, the least first."""
        end = start + way.layout.length
        idle = self._lead(way, start)
        rare = self.scarce.get(way.lead.person.id)
        scarce = 0 if rare is None else round(SCARCE_SHARE * self._minutes(way.layout.length))
        helping = round(ASSISTANT_SHARE * self._minutes(_assistant_slots(way)))
        found: list[Cost] = []
        for chair in self.chairs:
            if chair is None or self.index.chair_runs(chair, way.layout.length) >> start & 1:
                cost, wasted = self._chair(chair, start, end)
                found.append(Cost(cost + idle + scarce + helping, chair, wasted, idle))
        return sorted(found, key=lambda cost: cost.minutes)

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

    def _chair(self, chair: str | None, start: int, end: int) -> tuple[int, int]:
        """Cost on this chair, and the minutes of holes it leaves there."""
        if chair is None:
            return 0, 0
        key = (chair, start, end)
        if key not in self.memo:
            free, clean = self.chair_facts[chair]
            before, after = (self._minutes(gap) for gap in _gaps(free, start, end))
            wasted = self._wasted(before - clean, before) + self._wasted(after - clean, after)
            self.memo[key] = wasted + (SPLIT if before and after else 0), wasted
        return self.memo[key]

    def _lead(self, way: Way, start: int) -> int:
        """Minutes of holes in the lead's day."""
        pieces = way.layout.lead_pieces
        first, last = start + pieces[0][0], start + pieces[-1][1]
        key = (way.lead.person.id, first, last)
        if key not in self.memo:
            before, after = (self._minutes(gap) for gap in _gaps(way.lead.free, first, last))
            idle = self._wasted(before, before) + self._wasted(after, after)
            self.memo[key] = idle, idle
        return self.memo[key][0]

    def _wasted(self, usable: int, gap: int) -> int:
        return gap if usable < self.shortest else 0

    def _minutes(self, slots: int) -> int:
        return slots * self.index.raster.unit

    @cached_property
    def chair_facts(self) -> dict[str, tuple[int, int]]:
        """By chair, when a client may sit there, and the minutes of cleaning between two."""
        open_, house = self.index.open.union, self.index.house
        return {
            chair: (self.index.chairs[chair] & open_, house.turnaround(self.chair_by_id[chair]))
            for chair in self.chairs
            if chair is not None
        }

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


def _gaps(free: int, start: int, end: int) -> tuple[int, int]:
    """Free slots just before `start` and just from `end` on."""
    taken_before = ~free & span(0, start)
    before = start - taken_before.bit_length()
    later = ~(free >> end)
    after = (later & -later).bit_length() - 1
    return before, after


def _assistant_slots(way: Way) -> int:
    if way.assistant is None:
        return 0
    return way.layout.help + sum(b - a for a, b in way.layout.assistant_pieces)


def short(name: str) -> str:
    return name if len(name) <= NAME else name[: NAME - 1] + "…"
