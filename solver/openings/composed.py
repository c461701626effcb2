"""A place written out, and what the checker says of it."""

from __future__ import annotations

from dataclasses import dataclass

from schemas.plan import PlannedBreak, PlannedVisit
from schemas.rules import Finding


@dataclass(frozen=True)
class Composed:
    """A place written out. `missed` names who goes without her break (a soft rule bent)."""

    visit: PlannedVisit
    breaks: tuple[PlannedBreak, ...]
    """All breaks of the crew in the block."""
    moved: tuple[PlannedBreak, ...]
    """Those that lie elsewhere than before."""
    missed: tuple[str, ...]


@dataclass(frozen=True)
class Judged:
    """A place with the first breach of a hard rule once it is sold; none if it can be sold."""

    composed: Composed
    breach: Finding | None


JudgedDays = dict[int, dict[object, Judged]]
"""By block, what was judged there."""
