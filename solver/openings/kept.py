"""Sets of starts kept for a style, put right day by day when the book changes.

What fits on one day hangs on that day alone. So when some days of a book change, a set is reckoned
anew for those days only, and only once somebody asks for it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")
Ranked = tuple[int, T, int]
"""A rank, what it stands for, and its starts. A rank stands for the same whenever it is asked."""


@dataclass(frozen=True)
class Kept(Generic[T]):
    """Sets in order of rank, right for all slots but those that are `stale`."""

    sets: tuple[Ranked[T], ...]
    stale: int = 0

    def after(self, touched: int) -> Kept[T]:
        """The same when more slots have gone stale."""
        return Kept(self.sets, self.stale | touched)

    @classmethod
    def renewed(
        cls,
        known: Kept[T] | None,
        reckon: Callable[[int], Iterable[Ranked[T]]],
        taken_over: Callable[[T], T] | None = None,
    ) -> Kept[T]:
        """All sets right. `reckon` gives those within some slots; `-1` asks for all.

        What is `taken_over` from the sets known before may have to be put another way.
        """
        if known is None:
            return cls(tuple(reckon(-1)))
        found: dict[int, tuple[T, int]] = {}
        for rank, what, bits in known.sets:
            left = bits & ~known.stale
            if left:
                found[rank] = (what if taken_over is None else taken_over(what)), left
        for rank, what, bits in reckon(known.stale):
            found[rank] = what, bits | (found[rank][1] if rank in found else 0)
        return cls(tuple((rank, *found[rank]) for rank in sorted(found)))


K = TypeVar("K")


def forget_oldest(by: dict[K, Kept[T]], most: int) -> None:
    """Lets go of what was put in first, until at most so many sets are left."""
    left = sum(len(kept.sets) for kept in by.values())
    while left > most:
        left -= len(by.pop(next(iter(by))).sets)
