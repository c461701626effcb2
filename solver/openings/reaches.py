"""How far the starts of a lead's day get, rule by rule, whatever client asks for a style.

A start reaches a step if some way of staffing the visit obeys the rules up to there, each of the
steps below and those before it. Of all such ways the shortest is told: where a longer visit fits
into one of a client's windows, a shorter one from the same start does too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache, partial
from heapq import merge

from schemas.plan import PlannedVisit
from schemas.resources import Chair
from solver.bits import runs
from solver.openings.crews import assistants_for, needs_chair
from solver.openings.hands import Hands
from solver.openings.helping import help_starts
from solver.openings.kept import Kept, Ranked
from solver.openings.layouts import Layout
from solver.openings.search import Search
from solver.openings.standing import chair_free, placed_visits
from solver.openings.styles import Options

HOURS, SHIFT, HANDS, MEAL, BASIN, EMPTY, UNCLAIMED, CLEAN = range(8)
"""The steps: opening hours; the crew is in; has nothing else to do; keeps its breaks; a basin is
free; then, where the visit needs one, a fitting chair that is open, has no client, and is clean."""
MOST_SLOTS = 1 << 20
"""More than the longest visit has, so that ranks go by step and then by length."""


@dataclass(frozen=True)
class Reach:
    step: int
    length: int
    """Slots of the shortest visit."""


def reaches_of(search: Search, lead: str, able: list[Hands]) -> Iterator[tuple[Reach, int]]:
    """The starts of every step, each with the shortest visit that reaches it from there.

    `able` are the hands of this `lead`.
    """
    index = search.index
    key = (
        id(search.style),
        search.request.chair_features,
        lead,
        bool(search.request.max_assistants),
    )
    known = index.reaches.get(key)
    if known is None or known.stale:
        known = index.reaches[key] = Kept.renewed(
            known, lambda slots: _Reaching(search, slots).of(able)
        )
    return ((reach, starts) for _, reach, starts in known.sets)


def is_staffed(search: Search, able: list[Hands]) -> bool:
    """Whether these hands could carry out the visit, with help or without, if they had time."""
    return any(True for lead in able for _ in _options(search, lead))


def _options(search: Search, lead: Hands) -> Iterator[tuple[Options, Hands, list[Hands]]]:
    """The groups of layouts of this lead with whom may assist her, the shortest first."""
    able = search.ability(lead)
    assistants = list(assistants_for(search.request, lead, search.index.hands))
    helpers = tuple(search.ability(each, False) for each in assistants)
    alone = ((each, lead, assistants) for each in search.style.alone(able))
    helped = ((each, lead, assistants) for each in search.style.helped(able, helpers))
    return merge(alone, helped, key=lambda option: option[0].length)


@dataclass
class _Reaching:
    search: Search
    slots: int
    covered: list[int] = field(default_factory=lambda: [0] * (CLEAN + 1))
    """By step, the starts that reach it."""
    found: dict[Reach, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        index = self.search.index
        self.chairs = _chairs(self.search) if needs_chair(self.search.request) else []
        self.last = CLEAN if self.chairs else BASIN
        self.base = self.slots & index.raster.arrivals & index.open.union

    def of(self, able: list[Hands]) -> Iterator[Ranked[Reach]]:
        """The starts of these hands, as `Kept` wants them."""
        options = (_options(self.search, lead) for lead in able)
        for group, lead, assistants in merge(*options, key=lambda option: option[0].length):
            left = self.base & ~self.covered[self.last]
            left &= self.search.index.open_for(group.length)
            if left:
                for layout, ranks in zip(group.layouts, group.ranks, strict=True):
                    self._layout(
                        layout, left, lead, [assistants[r] for r in ranks if r is not None]
                    )
        for reach in sorted(self.found, key=lambda each: (each.step, each.length)):
            yield reach.step * MOST_SLOTS + reach.length, reach, self.found[reach]

    def _layout(self, layout: Layout, left: int, lead: Hands, helpers: list[Hands]) -> None:
        search, covered, length = self.search, self.covered, layout.length
        left &= search.on_grid(layout) & ~covered[self.last]
        self._note(HOURS, length, left)
        in_ = left & search.index.idle(lead).works(layout.lead_pieces)
        able = in_ & lead.works(layout.lead_pieces)
        either: Sequence[Hands | None] = helpers or (None,)
        for helper in either:
            # The crew is in wherever it is free, and free wherever it keeps its breaks: the wider
            # set is reckoned only where it tells something new.
            if in_ & ~covered[SHIFT]:
                self._note(SHIFT, length, in_ & self._helps(helper, layout, False))
            free = able
            if able & ~covered[HANDS]:
                free &= self._helps(helper, layout, True)
                self._note(HANDS, length, free)
            kept = free & ~covered[self.last]
            if kept:
                kept &= search.lead(layout, lead)
            if kept and helper is not None:
                kept &= search.assistant(layout, helper)
            if kept:
                self._place(layout, kept)

    def _helps(self, helper: Hands | None, layout: Layout, free: bool) -> int:
        """Where a helper is `free`, or else in, whatever her break."""
        if helper is None:
            return -1
        view = helper if free else self.search.index.idle(helper)
        if layout.floating is None:
            return view.works(layout.assistant_pieces)
        on_grid = self.search.index.raster.on_grid
        return help_starts(view, layout.assistant_pieces, layout.floating, on_grid)

    def _place(self, layout: Layout, starts: int) -> None:
        """Starts with hands that keep their breaks: do they find a basin and a chair?"""
        self._note(MEAL, layout.length, starts)
        starts &= self.search.basins(layout)
        self._note(BASIN, layout.length, starts)
        for step, chairs in enumerate(self.chairs, EMPTY):
            starts &= chairs(layout.length)
            self._note(step, layout.length, starts)

    def _note(self, step: int, length: int, starts: int) -> None:
        new = starts & ~self.covered[step]
        if new:
            self.covered[step] |= new
            reach = Reach(step, length)
            self.found[reach] = self.found.get(reach, 0) | new


def _chairs(search: Search) -> list[Callable[[int], int]]:
    """By step from `EMPTY` on, the starts with a chair that is free for so long."""
    index, features = search.index, search.request.chair_features
    book, raster = index.day_book, index.raster
    fitting = [chair for chair in book.chairs if chair.id in index.fitting_chairs(features)]

    def some(name: str, visits: tuple[PlannedVisit, ...]) -> Callable[[int], int]:
        def free_of(chair: Chair) -> int:
            return chair_free(book, chair, visits, raster, 0)

        free = [index.remembered((name, each.id), partial(free_of, each)) for each in fitting]

        @cache
        def starts(length: int) -> int:
            found = 0
            for bits in free:
                found |= runs(bits, length)
            return found

        return starts

    in_use, unclaimed = some("empty", ()), some("unclaimed", placed_visits(book))
    return [in_use, unclaimed, partial(index.any_chair, features)]
