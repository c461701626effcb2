"""Names for equal chairs: interval colouring, which needs no more chairs than the peak.

Served in order of their start, every stay finds a free chair as long as no more stays overlap than
there are chairs, whichever free chair the earlier ones took (interval graphs are perfect: Gavril,
SIAM Journal on Computing 1, 1972). That leaves room to keep the chairs people already know.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

MOST_TRIED = 3000
"""Stays put on a chair, all in all, before the least change is no longer sought: some 10 ms."""


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

    As few stays as can be leave the chair they had, as far as that is found in `MOST_TRIED` steps.
    """
    if peak_use((stay.start, stay.end) for stay in stays) > len(chairs):
        raise ValueError("more stays at one time than chairs")
    named = _quickly(stays, chairs)
    search = _LeastChange(sorted(stays, key=_turn), chairs)
    for changes in range(_changes(stays, named, chairs)):
        found = search.within(changes)
        if found is not None:
            return found
    return named


def _turn(stay: Stay) -> tuple[bool, int, int, str]:
    return not stay.fixed, stay.start, stay.end, stay.id


def _changes(stays: Sequence[Stay], named: dict[str, str], chairs: Sequence[str]) -> int:
    """How many stays leave a chair they could have had."""
    there = set(chairs)
    return sum(stay.keep in there and named[stay.id] != stay.keep for stay in stays)


@dataclass
class _LeastChange:
    """Tries all ways to name chairs, stay by stay in order of start, with few changes first."""

    stays: Sequence[Stay]
    chairs: Sequence[str]
    tried: int = 0
    keepers: dict[str, list[int]] = field(default_factory=dict)
    """By chair, the stays that had it."""

    def __post_init__(self) -> None:
        self.keepers = {chair: [] for chair in self.chairs}
        for number, stay in enumerate(self.stays):
            if stay.keep in self.keepers:
                self.keepers[stay.keep].append(number)

    def within(self, changes: int) -> dict[str, str] | None:
        """A way with at most so many changes; None where there is none, or no time to see."""
        named: dict[str, str] = {}
        free_from = dict.fromkeys(self.chairs, min((s.start for s in self.stays), default=0))
        return named if self._name(0, changes, free_from, frozenset(), named) else None

    def _name(
        self,
        number: int,
        left: int,
        free_from: dict[str, int],
        driven: frozenset[int],
        named: dict[str, str],
    ) -> bool:
        """Name the stays from `number` on. Those `driven` from their chair are paid for."""
        if number == len(self.stays):
            return True
        stay = self.stays[number]
        for chair, gone in self._options(number, free_from, driven):
            self.tried += 1
            if self.tried > MOST_TRIED:
                return False
            if len(gone) > left:
                continue
            before, free_from[chair], named[stay.id] = free_from[chair], stay.end, chair
            if self._name(number + 1, left - len(gone), free_from, driven | gone, named):
                return True
            free_from[chair] = before
            del named[stay.id]
        return False

    def _options(
        self, number: int, free_from: dict[str, int], driven: frozenset[int]
    ) -> Iterator[tuple[str, frozenset[int]]]:
        """Chairs that are free, each with the stays it would newly drive from theirs, fewest first.

        Of alike chairs the one left last goes first: it wastes least.
        """
        stay = self.stays[number]
        found = []
        for place, chair in enumerate(self.chairs):
            if free_from[chair] > stay.start or (stay.fixed and chair != stay.keep):
                continue
            gone = {
                later
                for later in self.keepers[chair]
                if later > number and self.stays[later].start < stay.end and later not in driven
            }
            if stay.keep in self.keepers and chair != stay.keep and number not in driven:
                gone.add(number)
            found.append((len(gone), chair != stay.keep, -free_from[chair], place, chair, gone))
        for *_, chair, gone in sorted(found, key=lambda each: each[:4]):
            yield chair, frozenset(gone)


def _quickly(stays: Sequence[Stay], chairs: Sequence[str]) -> dict[str, str]:
    """A chair for every stay: they keep the chair they had as long as the others still find one."""
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
