"""Names for equal chairs: interval colouring, which needs no more chairs than the peak.

Served in order of their start, every stay finds a free chair as long as no more stays overlap than
there are chairs, whichever free chair the earlier ones took (interval graphs are perfect: Gavril,
SIAM Journal on Computing 1, 1972). That leaves room to keep the chairs people already know.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Stay:
    """`[start, end)` on some chair, in any unit; `keep` is the chair it had before.

    A `fixed` stay does not leave that chair. Fixed stays start before all others, as what has begun
    does, so the others find chairs whichever the fixed ones have.
    """

    id: str
    start: int
    end: int
    keep: str | None = None
    fixed: bool = False


def peak_use(spans: Iterable[tuple[int, int]]) -> int:
    """The most spans that overlap at one instant; `[0, 5)` and `[5, 9)` do not."""
    steps = sorted(
        event for start, end in spans if start < end for event in ((start, 1), (end, -1))
    )
    most = now = 0
    for _, change in steps:
        now += change
        most = max(most, now)
    return most


def colour(stays: Sequence[Stay], chairs: Sequence[str]) -> dict[str, str]:
    """A chair for every stay, no two at one time; raises ValueError if there are too few.

    Least change first: stays keep the chair they had as long as the others still find one.
    """
    if peak_use((stay.start, stay.end) for stay in stays) > len(chairs):
        raise ValueError("more stays at one time than chairs")
    kept = _keep_compatible(stays, set(chairs))
    while True:
        named = _first_free(stays, chairs, kept)
        if named is not None:
            return named
        # A kept chair can stand in the way of a third stay: give up the shortest, try again.
        give_up = min(
            (stay for stay in stays if stay.id in kept and not stay.fixed),
            key=lambda s: s.end - s.start,
        )
        del kept[give_up.id]


def _keep_compatible(stays: Sequence[Stay], chairs: set[str]) -> dict[str, str]:
    """Stays that can have their old chair beside each other, as many as can be on each chair."""
    kept: dict[str, str] = {}
    free_from: dict[str, int] = {}
    # By earliest end: the most stays that fit on one chair (interval scheduling).
    for stay in sorted(stays, key=lambda stay: (not stay.fixed, stay.end, stay.start, stay.id)):
        if stay.keep in chairs and free_from.get(stay.keep, stay.start) <= stay.start:
            kept[stay.id] = stay.keep
            free_from[stay.keep] = stay.end
    return kept


def _first_free(
    stays: Sequence[Stay], chairs: Sequence[str], kept: dict[str, str]
) -> dict[str, str] | None:
    """Serve the stays in order of start around the kept ones; None where one finds no chair."""
    taken: dict[str, list[tuple[int, int]]] = {chair: [] for chair in chairs}
    for stay in stays:
        if stay.id in kept:
            taken[kept[stay.id]].append((stay.start, stay.end))
    named = dict(kept)
    for stay in sorted(stays, key=lambda stay: (stay.start, stay.end, stay.id)):
        if stay.id in kept:
            continue
        free = [
            chair
            for chair in chairs
            if all(stay.end <= start or end <= stay.start for start, end in taken[chair])
        ]
        if not free:
            return None
        # Of the free chairs, the one left last: it wastes least.
        best = max(free, key=lambda chair: _left_before(taken[chair], stay.start))
        taken[best].append((stay.start, stay.end))
        named[stay.id] = best
    return named


def _left_before(taken: list[tuple[int, int]], start: int) -> int:
    return max((end for _, end in taken if end <= start), default=-(10**9))
