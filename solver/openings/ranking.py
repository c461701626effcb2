"""Ranks places: what the client wants first, then the least harm, and no two of a kind.

A candidate's score is in minutes, lower is better: `client + cost`, where the client's part follows
her wish and what she prefers, and the cost is what the book loses (see `harm`). Candidates that
share the day, the lead, the kind of crew and the half of the day are of one kind: the best of each
kind stands for it, and a place like those already chosen is put back by `ALIKE`.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from schemas.booking import Request
from schemas.openings import Wish
from solver.bits import slots, span
from solver.openings.crews import Way, own_work
from solver.openings.harm import Cost, Harm
from solver.openings.index import BookIndex

DAY_WAITED = {Wish.SOONEST: 45, Wish.EARLY_FINISH: 10, Wish.SHORTEST: 10}
"""Minutes a client would give for a place a day earlier, by what matters most to her."""
ALIKE = {"day": 40, "lead": 15, "crew": 10, "half": 5}
"""Minutes a place is put back for each choice already offered with the same."""
KINDS_WEIGHED = 8
"""Kinds looked at closely for each place offered, in the order of what the client wants."""
APART = 60
"""Minutes between two starts that are offered although they are of one kind."""

Kind = tuple[int, str, bool, bool]
"""Day (its number), lead, with an assistant, after midday of the opening hours."""


@dataclass(frozen=True)
class Candidate:
    """A place that may be offered."""

    way: Way
    start: int
    client: int
    cost: Cost
    kind: Kind
    soft: int
    """Cost of soft wishes bent; part of `client`."""

    @property
    def score(self) -> int:
        return self.client + self.cost.minutes

    @property
    def order(self) -> tuple[int, int, int, str]:
        return self.score, self.start, self.way.layout.length, self.way.lead.person.id


@dataclass
class Ranking:
    """Chooses among the places of one request."""

    index: BookIndex
    request: Request
    wish: Wish
    harm: Harm

    def choose(self, found: list[tuple[Way, int]], limit: int) -> list[Candidate]:
        """At most `limit` good and different places out of `(way, starts)`.

        A lead has a start at most once alone and once with an assistant.
        """
        kinds = sorted(self._kinds(found), key=lambda kind: kind[0])
        weighed: list[list[Candidate]] = []
        for _, kind, ways in kinds[: KINDS_WEIGHED * limit]:
            own = [self._candidate(way, s, kind) for way, starts in ways for s in slots(starts)]
            weighed.append(sorted(own, key=lambda each: each.order))
        chosen: list[Candidate] = []
        pool = [own[0] for own in weighed]
        while pool and len(chosen) < limit:
            best = min(pool, key=lambda each: (each.score + _alike(each, chosen), *each.order))
            chosen.append(best)
            pool.remove(best)
        spare = sorted((each for own in weighed for each in own[1:]), key=lambda c: c.order)
        apart = APART // self.index.raster.unit
        for each in spare:
            if len(chosen) == limit:
                break
            near = (c for c in chosen if c.way.lead is each.way.lead)
            if all(abs(c.start - each.start) >= apart for c in near):
                chosen.append(each)
        return chosen

    def _kinds(
        self, found: list[tuple[Way, int]]
    ) -> Iterator[tuple[int, Kind, list[tuple[Way, int]]]]:
        """Each kind with its places, and the client's part at the first start of its ways."""
        kinds: dict[Kind, list[tuple[Way, int]]] = {}
        least: dict[Kind, int] = {}
        for way, starts in found:
            crew, rest = (way.lead.person.id, way.assistant is not None), starts
            while rest:
                start = (rest & -rest).bit_length() - 1
                number = bisect_right(self.halves, start) - 1
                day, end = number // 2, self.halves[number + 1]
                kind = (day, *crew, number % 2 == 1)
                kinds.setdefault(kind, []).append((way, rest & span(start, end)))
                client = self._client(way, start, day)
                least[kind] = min(client, least.get(kind, client))
                rest = rest >> end << end
        for kind, ways in kinds.items():
            yield least[kind], kind, ways

    @cached_property
    def halves(self) -> list[int]:
        """Where the halves of each opening day begin, in slots; the last one ends with the book."""
        return [slot for first, last in self.days for slot in (first, (first + last) // 2)] + [
            self.index.raster.slots
        ]

    @cached_property
    def days(self) -> list[tuple[int, int]]:
        """Each opening day from its first opening to its last closing, in slots."""
        days: dict[date, tuple[int, int]] = {}
        for window in sorted(self.index.day_book.open, key=lambda window: window.start):
            day = self.index.raster.frame.local_day(window.start)
            first, last = self.index.raster.inward(window)
            days[day] = (days.get(day, (first, last))[0], last)
        return list(days.values())

    @cached_property
    def soonest(self) -> int:
        """The first opening day that the client's windows reach."""
        start = min(self.index.raster.inward(window)[0] for window in self.request.windows)
        return next((day for day, (_, last) in enumerate(self.days) if last > start), 0)

    def _candidate(self, way: Way, start: int, kind: Kind) -> Candidate:
        client, soft = self._client(way, start, kind[0]), self._soft(way, start)
        return Candidate(way, start, client, self.harm.of(way, start), kind, soft)

    def _client(self, way: Way, start: int, day: int) -> int:
        """What the client gives up here, in minutes."""
        opened, unit = self.days[day][0], self.index.raster.unit
        waited = DAY_WAITED[self.wish] * (day - self.soonest)
        into_day = (start + way.layout.length - opened) * unit
        length = way.layout.length * unit
        part = {
            Wish.SOONEST: into_day // 10,
            Wish.EARLY_FINISH: into_day // 2,
            Wish.SHORTEST: length,
        }[self.wish]
        return waited + part + self._soft(way, start)

    def _soft(self, way: Way, start: int) -> int:
        """Weights of the wishes bent: another lead, another time."""
        bent = 0
        lead = self.index.house.wish("preferred-lead", self.request)
        if lead is not None and not self.has_preferred_lead(way):
            bent += lead.weight
        time = self.index.house.wish("preferred-time", self.request)
        if time is not None:
            bent += time.weight * -(-self.outside_preferred(start) // 15)
        return bent

    def outside_preferred(self, start: int) -> int:
        """Minutes from the start to the time the client prefers; 0 inside it."""
        if self.request.preferred is None:
            return 0
        first, last = self.index.raster.frame.span(self.request.preferred)
        minute = start * self.index.raster.unit
        return max(first - minute, minute - last, 0)

    def saved(self, way: Way, phase: int) -> int:
        """Minutes that help takes off this phase."""
        raster = self.index.raster
        alone = own_work(self.request.phases[phase], way.lead, raster)
        alone += way.lead.meal if way.layout.inside == phase else 0
        return (alone - way.layout.bounds[phase + 1] + way.layout.bounds[phase]) * raster.unit

    @cached_property
    def names(self) -> dict[str, str]:
        return {person.id: person.name for person in self.index.day_book.staff}

    def has_preferred_lead(self, way: Way) -> bool:
        return self.request.preferred_lead in {None, way.lead.person.id}


def _alike(each: Candidate, chosen: list[Candidate]) -> int:
    names = ("day", "lead", "crew", "half")
    return sum(
        ALIKE[name]
        for other in chosen
        for name, mine, theirs in zip(names, each.kind, other.kind, strict=True)
        if mine == theirs
    )
