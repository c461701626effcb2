"""Goes through the ranked places until enough of them pass the checker.

The bit sets know the rules of the trade; the checker knows every rule of the house. A place that it
refuses is left out and counted under the rule in the way, and the next one takes its turn: first
the shortest way of every start, then every other way and chair.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property

from schemas.openings import Opening
from schemas.rules import Finding
from solver.openings.composed import Composed
from solver.openings.crews import Way
from solver.openings.judge import WHATEVER_CHAIR
from solver.openings.judged import Judging
from solver.openings.places import every_place, shortest_places
from solver.openings.ranking import Candidate, Ranking
from solver.openings.search import Search

MOST_REFUSED = 400
"""Places refused by the checker after which a question looks no further."""


@dataclass(frozen=True)
class Offer:
    """A place that has passed the checker, written out."""

    candidate: Candidate
    composed: Composed
    others: tuple[Opening, ...] = ()
    """Places of those who come along, once this one is sold."""


def _anywhere(_: Way) -> int:
    return -1


@dataclass
class Offers:
    """The offers of one question, and what the checker refused on the way."""

    search: Search
    ranking: Ranking
    within: Callable[[Way], int] = _anywhere
    """The starts that count for a way."""
    along: Callable[[Offer], Offer | None] | None = None
    """Finds the places of those who come along; None where they have none beside this offer."""
    most: int | None = None
    """Places that may fail before no further one is tried; `MOST_REFUSED` where it says none."""
    refused: dict[tuple[str, int], Finding] = field(default_factory=dict)
    """By lead and start where no way was let pass, the first breach of the last way tried."""
    tried: set[object] = field(default_factory=set)
    last: Finding | None = None
    """What was found of the place judged last."""
    failed: dict[str, int] = field(default_factory=dict)
    """By lead, the starts at which a way was refused or left those who come along without place."""

    @cached_property
    def judging(self) -> Judging:
        return Judging(self.search.index, self.search.request)

    @cached_property
    def found(self) -> list[tuple[Way, int]]:
        """The shortest ways with their starts that count."""
        every = shortest_places(self.search)
        return [(way, bits) for way, starts in every if (bits := starts & self.within(way))]

    @cached_property
    def starts(self) -> int:
        """All starts that count."""
        every = 0
        for _, bits in self.found:
            every |= bits
        return every

    def choose(self, limit: int) -> list[Offer]:
        """At most `limit` offers in order, out of the shortest ways found, then of all others."""
        chosen = self.ranking.choose(self.found, limit, self._accept)
        if len(chosen) < limit and self.failed:
            again = dict(self.failed)
            others = [
                (way, bits)
                for way, starts in every_place(self.search)
                if (bits := starts & again.get(way.lead.person.id, 0) & self.within(way))
            ]
            chosen += self.ranking.choose(others, limit - len(chosen), self._accept_any_chair)
            chosen.sort(key=lambda each: each[1].candidate.order)
        for candidate, _ in chosen:
            self.refused.pop((candidate.way.lead.person.id, candidate.start), None)
        return [offer for _, offer in chosen]

    def _accept(self, candidate: Candidate) -> Offer | None:
        """The candidate written out, if the checker lets it pass."""
        way, start = candidate.way, candidate.start
        lead, chair = way.lead.person.id, candidate.cost.chair
        helper = None if way.assistant is None else way.assistant.person.id
        key = (lead, helper, start, chair, id(way.layout))
        if key in self.tried or len(self.tried) >= (self.most or MOST_REFUSED):
            self.last = None
            return None
        judged = self.judging.of(way, start, chair)
        self.last = judged.breach
        offer: Offer | None = None
        if judged.breach is None:
            offer = Offer(candidate, judged.composed)
            offer = offer if self.along is None else self.along(offer)
        else:
            self.refused[lead, start] = judged.breach
        if offer is None:
            self.tried.add(key)
            self.failed[lead] = self.failed.get(lead, 0) | 1 << start
        return offer

    def _accept_any_chair(self, candidate: Candidate) -> Offer | None:
        """As `_accept`, on the first chair, the least harm first, on which it passes."""
        for cost in self.ranking.harm.options(candidate.way, candidate.start):
            offer = self._accept(replace(candidate, cost=cost))
            if offer is not None:
                return offer
            if self.last is not None and self.last.rule in WHATEVER_CHAIR:
                return None
        return None
