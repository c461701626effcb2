"""Ranks places: what the client wants first, then the least harm, then fair shares.

Places are ordered by `(off, bucket, bent, cost, share)`: what her preferred time is missed by, how
many buckets the place lies behind the best for her wish, whether it is with another lead than she
prefers, what the book loses (see `harm`), and how much its lead has booked already. Among places of
one bucket the client hardly minds, so there the book decides.

A few are offered, and different ones. Places that share the day, the lead, the kind of crew and the
half of the day are of one kind. The first place of all is always offered; each further one is the
best of another kind, where a kind like those chosen is put back by `ALIKE`. What is chosen is then
told in the order of places.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar

from schemas.openings import Wish
from solver.bits import slots, span
from solver.openings.crews import Way, own_work
from solver.openings.harm import Cost, Harm
from solver.openings.wants import Wants

BUCKET = 15
"""Minutes of what she wishes that a client hardly minds."""
ALIKE = (40, 15, 10, 5)
"""Minutes a kind is put back for each choice already offered with the same day, lead, sort of crew
and half of the day."""
KINDS_WEIGHED = 8
"""Kinds compared for each place offered, in the order of what the client wants."""
APART = 60
"""Minutes between two starts that are offered although they are of one kind."""

Kind = tuple[int, str, bool, bool]
"""Day (its number), lead, with an assistant, after midday of the opening hours."""
T = TypeVar("T")


@dataclass(frozen=True)
class Candidate:
    """A place that may be offered."""

    way: Way
    start: int
    kind: Kind
    off: int
    """Weight of the preferred time missed; 0 inside it or without one."""
    bucket: int
    cost: Cost
    share: int
    """Slots its lead has booked in the book as it stands."""
    bent: int
    """Weight of another lead than the preferred one."""

    @property
    def order(self) -> tuple[int, int, int, int, int, int, int, str]:
        wanted = (self.off, self.bucket, self.bent)
        rest = (self.start, self.way.layout.length, self.way.lead.person.id)
        return *wanted, self.cost.minutes, self.share, *rest


@dataclass
class _Kind:
    """The places of one kind: `ahead` are candidates in order, `ways` those not yet looked at."""

    kind: Kind
    ways: list[tuple[Way, int, int]] = field(default_factory=list)
    """A way, a slot, and its starts counted from that slot, which is the first."""
    off: int = 0
    wished: int = 0
    """The least of its places."""
    pull: int = 0
    """What the client gives up, in minutes on one scale, and how far alike choices put it back."""
    ahead: list[Candidate] = field(default_factory=list)


@dataclass
class Ranking:
    """Chooses among the places of one request."""

    wants: Wants
    harm: Harm
    best: int | None = None
    """The least wish of all places, in minutes; known once places were looked at."""
    least: int = 0
    """The least measure of all places."""

    def choose(
        self,
        found: list[tuple[Way, int]],
        limit: int,
        accept: Callable[[Candidate], T | None],
    ) -> list[tuple[Candidate, T]]:
        """At most `limit` good and different places out of `(way, starts)`, in order.

        `accept` is asked of each place that would be chosen and gives what to keep with it, or None
        to refuse it; then the next one takes its turn.
        """
        kinds = self._kinds(found)
        chosen: list[tuple[Candidate, T]] = []
        used: list[_Kind] = []
        few = KINDS_WEIGHED * limit
        for first in range(0, len(kinds), few):
            pool = kinds[first : first + few]
            while pool and len(chosen) < limit:
                kind = self._first(pool) if not chosen else self._next(pool)
                candidate = kind.ahead.pop(0)
                kept = accept(candidate)
                if kept is not None:
                    chosen.append((candidate, kept))
                    used.append(kind)
                    _put_back(pool, kind.kind)
                if kept is not None or not self._fill(kind):
                    pool.remove(kind)
        self._spare(used, chosen, limit, accept)
        return sorted(chosen, key=lambda each: each[0].order)

    def _first(self, pool: list[_Kind]) -> _Kind:
        """The kind with the first of all places."""
        least = min((kind.off, self._bucket(kind.wished)) for kind in pool)
        return self._best([k for k in pool if (k.off, self._bucket(k.wished)) == least])

    def _next(self, pool: list[_Kind]) -> _Kind:
        """The kind that is next, those like the ones chosen put back."""
        least = min(kind.pull for kind in pool) // BUCKET
        return self._best([kind for kind in pool if kind.pull // BUCKET == least])

    def _best(self, pool: list[_Kind]) -> _Kind:
        """The kind whose next place comes first."""
        for kind in pool:
            self._fill(kind)
        return min(pool, key=lambda kind: kind.ahead[0].order)

    def _spare(
        self,
        used: list[_Kind],
        chosen: list[tuple[Candidate, T]],
        limit: int,
        accept: Callable[[Candidate], T | None],
    ) -> None:
        """Fills up with places of kinds already offered, each apart from the others in time."""
        if len(chosen) >= limit:
            return
        for kind in used:
            while self._fill(kind, more=True):
                pass
        spare = sorted((each for kind in used for each in kind.ahead), key=lambda c: c.order)
        apart = APART // self.wants.index.raster.unit
        for each in spare:
            if len(chosen) == limit:
                return
            near = (c for c, _ in chosen if c.way.lead is each.way.lead)
            if all(abs(c.start - each.start) >= apart for c in near):
                kept = accept(each)
                if kept is not None:
                    chosen.append((each, kept))

    def _fill(self, kind: _Kind, more: bool = False) -> bool:
        """Looks at the next bucket of a kind once its last is used up, or one `more`.

        False where there is nothing left to look at.
        """
        if kind.ahead and not more:
            return True
        if not kind.ways:
            return False
        day = kind.kind[0]
        if self.wants.time_weight:
            taken, kind.ways = kind.ways, []
        else:
            least = min(self.wants.wished(way, first, day) for way, first, _ in kind.ways)
            taken, left = [], []
            for way, first, starts in kind.ways:
                now = starts & span(0, self._end_of_bucket(way, day, least) - first)
                if now:
                    taken.append((way, first, now))
                rest = starts ^ now
                if rest:
                    skipped = _lowest(rest)
                    left.append((way, first + skipped, rest >> skipped))
            kind.ways = left
        own = [
            self._candidate(way, first + slot, kind.kind)
            for way, first, starts in taken
            for slot in slots(starts)
        ]
        kind.ahead += sorted(own, key=lambda each: each.order)
        return True

    def _end_of_bucket(self, way: Way, day: int, least: int) -> int:
        """The first slot at which this way lies beyond the bucket of `least`."""
        unit = self.wants.index.raster.unit
        over = (self.best or 0) + (self._bucket(least) + 1) * BUCKET
        if self.wants.wish in {Wish.SHORTEST, Wish.ANY_HOUR}:  # the hour does not matter
            return self.wants.index.raster.slots if self.wants.wished(way, 0, day) < over else 0
        return max(0, -((self.wants.wished(way, 0, day) - over) // unit))

    def _kinds(self, found: list[tuple[Way, int]]) -> list[_Kind]:
        """Every kind with its places, in order of what she wants; learns the best wish of all."""
        kinds: dict[tuple[int, str, bool], _Kind] = {}
        for way, starts in found:
            lead, helped = way.lead.person.id, way.assistant is not None
            for half, first, here in self.wants.index.halved(starts):
                key = half, lead, helped
                kind = kinds.get(key)
                if kind is None:
                    kind = kinds[key] = _Kind((half // 2, lead, helped, half % 2 == 1))
                kind.ways.append((way, first, here))
        measures = [self._weigh(kind) for kind in kinds.values()]
        if self.best is None:
            self.least = min(measures, default=0)
            self.best = min((kind.wished for kind in kinds.values()), default=0)
        return sorted(
            kinds.values(), key=lambda kind: (kind.off, self._bucket(kind.wished), kind.pull)
        )

    def _weigh(self, kind: _Kind) -> int:
        """Finds out what the best of a kind is worth to her, and gives its measure."""
        wants, day = self.wants, kind.kind[0]
        bent = wants.lead_bent(kind.ways[0][0])
        least = wants.least_slots(kind.ways)
        measure = wants.in_minutes(least, day)
        kind.wished = measure + bent
        if not wants.time_weight:
            kind.pull = wants.pull(least, day) + bent
            return measure
        offs = [wants.least_off(starts, first) for _, first, starts in kind.ways]
        kind.off = min(offs)
        kind.pull = bent + min(
            wants.pull(wants.in_slots(way, first), day) + off
            for (way, first, _), off in zip(kind.ways, offs, strict=True)
        )
        return measure

    def _bucket(self, wished: int) -> int:
        """How many buckets this lies behind the best."""
        return (wished - (self.best or 0)) // BUCKET

    def measure_of(self, candidate: Candidate) -> int:
        return self.wants.measure(candidate.way, candidate.start, candidate.kind[0])

    def _candidate(self, way: Way, start: int, kind: Kind) -> Candidate:
        off, day = self.wants.time_bent(start), kind[0]
        return Candidate(
            way=way,
            start=start,
            kind=kind,
            off=off,
            bucket=self._bucket(self.wants.wished(way, start, day)),
            cost=self.harm.of(way, start),
            share=way.lead.booked,
            bent=self.wants.lead_bent(way),
        )

    def saved(self, way: Way, phase: int) -> int:
        """Minutes that help takes off this phase."""
        raster = self.wants.index.raster
        alone = own_work(self.wants.request.phases[phase], way.lead, raster)
        alone += way.lead.meal if way.layout.inside == phase else 0
        return (alone - way.layout.bounds[phase + 1] + way.layout.bounds[phase]) * raster.unit

    @cached_property
    def names(self) -> dict[str, str]:
        return {person.id: person.name for person in self.wants.index.day_book.staff}


def _lowest(starts: int) -> int:
    return (starts & -starts).bit_length() - 1


def _put_back(kinds: list[_Kind], chosen: Kind) -> None:
    """Puts back every kind by what it has in common with the one chosen."""
    day, lead, crew, half = chosen
    for kind in kinds:
        mine = kind.kind
        kind.pull += (
            (ALIKE[0] if mine[0] == day else 0)
            + (ALIKE[1] if mine[1] == lead else 0)
            + (ALIKE[2] if mine[2] == crew else 0)
            + (ALIKE[3] if mine[3] == half else 0)
        )
