"""Places written out and judged before, kept for as long as their day stays as it is.

What a place looks like and what the checker says of it hang on its day and on what the client asks
for, not on who she is: the next one who asks for the same is answered from here. Only that the
visit lies in her own windows is looked up anew.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from schemas.booking import Request
from solver.openings.compose import compose
from solver.openings.composed import Composed, Judged, JudgedDays
from solver.openings.crews import Way
from solver.openings.index import BookIndex

HERSELF = {"id", "client", "windows"}
"""What of a request changes neither how a place is written out nor, her windows apart, what the
rules say of it: rules speak of a client by name only."""
_FACTS = tuple(name for name in Request.model_fields if name not in HERSELF)


@dataclass
class Judging:
    """Writes out and judges the places of one request."""

    index: BookIndex
    request: Request
    known: JudgedDays = field(init=False)

    def __post_init__(self) -> None:
        facts = tuple(getattr(self.request, name) for name in _FACTS)
        on_the_book = self.request.id in self.index.facts.bookings
        self.known = {} if on_the_book else self.index.judged_before(facts)

    def of(self, way: Way, start: int, chair: str | None) -> Judged:
        """The place of this way at `start`, which it must fit, and the breach that refuses it."""
        block = self.index.block_at(start)
        day = self.known.setdefault(block, {})
        key = (way.layout, way.lead.key, way.assistant and way.assistant.key, start, chair)
        known = day.get(key)
        if known is None:
            composed = compose(self.index, self.request, way, start, chair)
            known = self._judged(composed, block)
            if known.breach is None or known.breach.rule != "client-window":
                day[key] = known
            return known
        composed = known.composed.renamed(self.request.id)
        window = composed.visit.window
        if any(each.contains(window) for each in self.request.windows):
            return Judged(composed, known.breach)
        return self._judged(composed, block)

    def _judged(self, composed: Composed, block: int) -> Judged:
        judge = self.index.judge(block)
        return Judged(composed, judge.breach(self.request, composed.visit, composed.breaks))
