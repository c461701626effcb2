"""What is reckoned once for the work of a style, whoever asks for it: abilities and layouts.

A salon's clients ask for few styles, so an index keeps this between questions. It depends on the
phases, the staff and the house alone, never on what is booked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import groupby

from schemas.work import Performer, PhaseWork
from solver.openings.layouts import Ability, Layout, layouts

Ranks = tuple[int | None, ...]
"""Ranks of assistants in the list of those there are; None for nobody."""
NOBODY: Ranks = (None,)
Ranked = list[tuple[Layout, Ranks]]


@dataclass(frozen=True)
class Options:
    """The layouts of one length, and what all of these and of the longer ones ask of the lead."""

    length: int
    layouts: tuple[Layout, ...]
    ranks: tuple[Ranks, ...]
    """For each layout, of the assistants that can serve in it."""
    least: int
    """They all keep her at one phase for so many slots at least (0: no such phase) ..."""
    nearest: int
    farthest: int
    """... that begins between these two, counted from the visit's start."""


def by_length(works: Sequence[PhaseWork], ranked: Ranked) -> tuple[Options, ...]:
    """The layouts in groups of one length, the shortest first; `ranked` are in that order."""
    groups = [(length, list(own)) for length, own in groupby(ranked, lambda each: each[0].length)]
    led = [number for number, work in enumerate(works) if work.performer is Performer.LEAD]
    phase = max(led, key=lambda number: works[number].minutes, default=None)
    found: list[Options] = []
    least = nearest = farthest = 0
    for length, own in reversed(groups):
        if phase is not None:
            begins = [layout.bounds[phase] for layout, _ in own]
            lasts = [each.bounds[phase + 1] - each.bounds[phase] for each, _ in own]
            if found:
                begins, lasts = [*begins, nearest, farthest], [*lasts, least]
            least, nearest, farthest = min(lasts), min(begins), max(begins)
        layouts_, ranks = zip(*own, strict=True)
        found.append(Options(length, layouts_, ranks, least, nearest, farthest))
    return tuple(reversed(found))


@dataclass(frozen=True)
class StyleBook:
    """The layouts of one visit's phases."""

    works: tuple[PhaseWork, ...]
    step: int
    able: dict[tuple[bool, str, int], Ability] = field(default_factory=dict)
    """By whether she leads, her id and the length of her break, what a person can do."""
    known: dict[tuple[Ability, Ability | None], list[Layout]] = field(default_factory=dict)
    options: dict[tuple[Ability, tuple[Ability, ...] | None], tuple[Options, ...]] = field(
        default_factory=dict
    )

    shared: dict[Ranks, Ranks] = field(default_factory=dict)
    """Ranks that are the same are kept once: there are some thousand layouts for few of them."""

    def layouts(self, lead: Ability, assistant: Ability | None) -> list[Layout]:
        """The layouts for such a crew, the shortest first."""
        key = (lead, assistant)
        if key not in self.known:
            self.known[key] = layouts(self.works, lead, assistant, self.step)
        return self.known[key]

    def alone(self, lead: Ability) -> tuple[Options, ...]:
        """The layouts for such a lead without an assistant."""
        key = (lead, None)
        if key not in self.options:
            alone: Ranked = [(layout, NOBODY) for layout in self.layouts(lead, None)]
            self.options[key] = by_length(self.works, alone)
        return self.options[key]

    def helped(self, lead: Ability, assistants: tuple[Ability, ...]) -> tuple[Options, ...]:
        """The layouts for such a lead with one of these assistants."""
        key = (lead, assistants)
        if key not in self.options:
            every = [
                (layout.length, layout.help, rank, layout)
                for rank, assistant in enumerate(assistants)
                for layout in self.layouts(lead, assistant)
            ]
            every.sort(key=lambda option: option[:3])
            ranked: Ranked = []
            for *_, rank, layout in every:
                if ranked and ranked[-1][0] is layout:
                    ranks = (*ranked[-1][1], rank)
                    ranked[-1] = layout, self.shared.setdefault(ranks, ranks)
                else:
                    ranked.append((layout, self.shared.setdefault((rank,), (rank,))))
            self.options[key] = by_length(self.works, ranked)
        return self.options[key]
