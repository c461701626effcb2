"""A place written out, and what the checker says of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from schemas.plan import PlannedBreak, PlannedVisit
from schemas.rules import Finding

CUT, CUT_WRITTEN = "\n", "\\n"
"""A name that no visit has, and how JSON writes it."""


@dataclass(frozen=True)
class Composed:
    """A place written out. `missed` names who goes without her break (a soft rule bent)."""

    visit: PlannedVisit
    breaks: tuple[PlannedBreak, ...]
    """All breaks of the crew in the block."""
    moved: tuple[PlannedBreak, ...]
    """Those that lie elsewhere than before."""
    missed: tuple[str, ...]

    @cached_property
    def content(self) -> tuple[str, ...]:
        """All of it as JSON, cut wherever it names the visit."""
        named = self.visit.visit
        documents = [self.visit.model_copy(update={"visit": CUT})]
        rests = [
            each.model_copy(update={"inside": CUT}) if each.inside == named else each
            for each in self.breaks
        ]
        written = "".join(each.model_dump_json() for each in (*documents, *rests))
        return tuple(written.split(CUT_WRITTEN))

    def renamed(self, name: str) -> Composed:
        """The same place for a visit of another name."""
        before = self.visit.visit
        if name == before:
            return self

        def own(breaks: Iterable[PlannedBreak]) -> tuple[PlannedBreak, ...]:
            return tuple(
                each.model_copy(update={"inside": name}) if each.inside == before else each
                for each in breaks
            )

        visit = self.visit.model_copy(update={"visit": name})
        other = Composed(visit, own(self.breaks), own(self.moved), self.missed)
        other.__dict__["content"] = self.content  # it names no visit
        return other


@dataclass(frozen=True)
class Judged:
    """A place with the first breach of a hard rule once it is sold; none if it can be sold."""

    composed: Composed
    breach: Finding | None


JudgedDays = dict[int, dict[object, Judged]]
"""By block, what was judged there."""
