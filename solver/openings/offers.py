"""Goes through the ranked places until enough of them pass the checker.

The bit sets know the rules of the trade; the checker knows every rule of the house. A place that it
refuses is left out and counted under the rule in the way, and the next one takes its turn: first
the shortest way of every start, then every other way and chair.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from schemas.rules import Finding
from solver.openings.compose import Composed, compose
from solver.openings.crews import Way
from solver.openings.places import every_place
from solver.openings.ranking import Candidate, Ranking
from solver.openings.search import Search

MOST_REFUSED = 400
"""Places refused by the checker after which a question looks no further."""


@dataclass(frozen=True)
class Offer:
    """A place that has passed the checker, written out."""

    candidate: Candidate
    composed: Composed


@dataclass
class Offers:
    """The offers of one question, and what the checker refused on the way."""

    search: Search
    ranking: Ranking
    refused: dict[tuple[str, int], Finding] = field(default_factory=dict)
    """By lead and start where no way was let pass, the first breach of the last way tried."""
    tried: set[object] = field(default_factory=set)

    def choose(self, found: list[tuple[Way, int]], limit: int) -> list[Offer]:
        """At most `limit` offers in order, out of the shortest ways `found`, then of all others."""
        chosen = self.ranking.choose(found, limit, self._accept)
        if len(chosen) < limit and self.refused:
            closed: dict[str, int] = {}
            for lead, start in self.refused:
                closed[lead] = closed.get(lead, 0) | 1 << start
            others = [
                (way, bits)
                for way, starts in every_place(self.search)
                if (bits := starts & closed.get(way.lead.person.id, 0))
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
        if key in self.tried or len(self.tried) >= MOST_REFUSED:
            return None
        index, request = self.search.index, self.search.request
        composed = compose(index, request, way, start, chair)
        judge = index.judge(index.block_at(start))
        breach = judge.breach(request, composed.visit, composed.breaks)
        if breach is None:
            return Offer(candidate, composed)
        self.tried.add(key)
        self.refused[lead, start] = breach
        return None

    def _accept_any_chair(self, candidate: Candidate) -> Offer | None:
        """As `_accept`, on the first chair, the least harm first, on which it passes."""
        for cost in self.ranking.harm.options(candidate.way, candidate.start):
            offer = self._accept(replace(candidate, cost=cost))
            if offer is not None:
                return offer
        return None
