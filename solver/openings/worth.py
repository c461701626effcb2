"""What a free stretch of a lead is worth, in minutes that could be sold.

A stretch of `g` minutes serves the work that fits into it and that she masters:

    worth(g) = g * (minutes of such work that is no longer than g) / (minutes of all known work)

so a long stretch is worth more by the minute than a short one, and one that is too short for
anything known is worth nothing. Known are the visits of the book, and beside them, so that a book
that is nearly empty has a measure too, one visit of every length of `USUAL`.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate

from schemas.resources import StaffMember
from solver.openings.facts import BookFacts

USUAL = range(90, 421, 30)
"""Minutes of a lead's work that a visit may take, each as likely: common practice, no source."""


@dataclass(frozen=True)
class Worth:
    """The worth of one lead's stretches, by their slots."""

    table: tuple[int, ...]
    """In minutes; a longer stretch is worth as much a slot as the last one here."""

    @classmethod
    def of(cls, person: StaffMember, facts: BookFacts, unit: int, least: int) -> Worth:
        """`least` is the shortest work that is known, in minutes; `unit` those of a slot."""
        work = dict.fromkeys(USUAL, 0)
        for length in USUAL:
            work[length] += length
        every = sum(USUAL)
        for (skills, length), count in facts.led_work.items():
            every += length * count
            if all(person.masters(skill, level) for skill, level in skills):
                work[length] = work.get(length, 0) + length * count
        longest = max(work)
        fits = [0] * (longest // unit + 2)
        for length, minutes in work.items():
            fits[-(-length // unit)] += minutes
        return cls(
            tuple(
                0 if slots * unit < least else round(slots * unit * minutes / every)
                for slots, minutes in enumerate(accumulate(fits))
            )
        )

    def __call__(self, slots: int) -> int:
        last = len(self.table) - 1
        return self.table[slots] if slots <= last else self.table[last] * slots // last
