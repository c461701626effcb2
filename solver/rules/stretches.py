"""Stretches of time that must not overlap, and the sweep that finds those that do."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from solver.rules.reading import Reading, Rest, Span, span


@dataclass(frozen=True, slots=True)
class Stretch:
    """`[start, end)` taken by `visit` (None for a break); `label` says with what."""

    start: int
    end: int
    visit: str | None
    label: str = ""
    place: int = 0
    """Which of the plan's visits, so that a visit placed twice can be told apart from itself."""


def clashes(stretches: Iterable[Stretch]) -> Iterator[tuple[Stretch, Stretch]]:
    """Overlapping pairs (earlier, later) in `O(n log n)`.

    Each stretch is compared with the one begun before it that lasts longest, so every stretch that
    overlaps an earlier one is named at least once. Stretches that only touch do not overlap, and a
    stretch without length overlaps nothing.
    """
    longest: Stretch | None = None
    for stretch in sorted(stretches, key=lambda stretch: (stretch.start, stretch.end)):
        if stretch.end <= stretch.start:
            continue
        if longest is not None and stretch.start < longest.end:
            yield longest, stretch
        if longest is None or stretch.end > longest.end:
            longest = stretch


def without(start: int, end: int, holes: Iterable[Span]) -> Iterator[Span]:
    """`[start, end)` less the holes.

    >>> list(without(0, 100, [(20, 30), (90, 120)]))
    [(0, 20), (30, 90)]
    """
    for first, last in sorted(holes):
        if last <= start or end <= first:
            continue
        if start < first:
            yield start, first
        start = max(start, last)
    if start < end:
        yield start, end


def chair_stretches(reading: Reading) -> dict[str, list[Stretch]]:
    """By chair, every stay of a client."""
    stays: dict[str, list[Stretch]] = defaultdict(list)
    for place, planned in enumerate(reading.plan.visits):
        if planned.chair is not None:
            stays[planned.chair].append(
                Stretch(*reading.occupied(planned), planned.visit, place=place)
            )
    return dict(stays)


def basin_stretches(reading: Reading) -> dict[str, list[Stretch]]:
    """By basin, every phase that names it."""
    washes: dict[str, list[Stretch]] = defaultdict(list)
    for place, planned in enumerate(reading.plan.visits):
        for phase in planned.phases:
            if phase.basin is not None:
                stretch = Stretch(*span(phase.window), planned.visit, phase.kind, place)
                washes[phase.basin].append(stretch)
    return dict(washes)


def rest_stretches(rests: Iterable[Rest]) -> Iterator[Stretch]:
    for rest in rests:
        yield Stretch(rest.start, rest.end, None, f"{rest.planned.kind.value} break")


def duties(reading: Reading) -> dict[str, list[Stretch]]:
    """By person, every whole phase she performs and every window in which she helps."""
    tasks: dict[str, list[Stretch]] = defaultdict(list)
    for place, planned in enumerate(reading.plan.visits):
        for phase in planned.phases:
            stretch = Stretch(*span(phase.window), planned.visit, phase.kind, place)
            tasks[phase.performer].append(stretch)
            for help_ in phase.help:
                helping = f"help with {phase.kind}"
                stretch = Stretch(*span(help_.window), planned.visit, helping, place)
                tasks[help_.staff].append(stretch)
    return dict(tasks)
