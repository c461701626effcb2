"""The starts at which a layout fits the book, for one lead and one assistant or none."""

from __future__ import annotations

from dataclasses import dataclass, field

from schemas.booking import Request
from schemas.work import Place
from solver.bits import moved, span
from solver.openings.crews import assistant_ability, lead_ability, needs_chair
from solver.openings.hands import Hands
from solver.openings.helping import help_starts, help_with_rest
from solver.openings.index import BookIndex
from solver.openings.layers import Layers
from solver.openings.layouts import Ability, Layout, Piece
from solver.openings.styles import StyleBook


@dataclass
class Search:
    """One request against one index. What does not depend on the people is reckoned once."""

    index: BookIndex
    request: Request
    windows: Layers = field(init=False)
    memo: dict[object, int] = field(default_factory=dict)
    placed: dict[Layout, int] = field(default_factory=dict)
    """By layout, what `places` gave."""
    style: StyleBook = field(init=False)

    def __post_init__(self) -> None:
        self.style = self.index.style(self.request.phases)
        self.windows = Layers.of(
            self.index.raster.inward(window) for window in self.request.windows
        )
        self.washes = [
            number for number, work in enumerate(self.request.phases) if work.place is Place.BASIN
        ]

    def layouts(self, lead: Hands, assistant: Hands | None) -> list[Layout]:
        """The layouts for this crew, the shortest first."""
        helper = None if assistant is None else self.ability(assistant, False)
        return self.style.layouts(self.ability(lead), helper)

    def ability(self, hands: Hands, leads: bool = True) -> Ability:
        """What a person can do as the visit's lead, or else as its assistant."""
        able, key = self.style.able, (leads, hands.person.id, hands.meal)
        if key not in able:
            raster = self.index.raster
            able[key] = (
                lead_ability(self.request, hands, self.index.house, raster)
                if leads
                else assistant_ability(self.request, hands, raster)
            )
        return able[key]

    def starts(self, layout: Layout, lead: Hands, assistant: Hands | None) -> int:
        """The starts at which everything this takes is free and every break stays possible."""
        starts = self.places(layout)
        if starts:
            starts &= self.lead(layout, lead)
        if starts and assistant is not None:
            starts &= self.assistant(layout, assistant)
        return starts

    def places(self, layout: Layout) -> int:
        """The starts with a chair and basins, whoever works."""
        starts = self.placed.get(layout)
        if starts is None:
            starts = self.frame(layout.length)
            if starts:
                starts &= self.on_grid(layout)
            if starts:
                starts &= self.basins(layout)
            self.placed[layout] = starts
        return starts

    def frame(self, length: int) -> int:
        """Arrivals inside opening hours with a chair, on sound days, whenever she can come."""
        key = ("frame", length)
        if key not in self.memo:
            index = self.index
            starts = index.arrivals & index.open_for(length)
            if starts and needs_chair(self.request):
                starts &= index.any_chair(self.request.chair_features, length)
            self.memo[key] = starts
        return self.memo[key]

    def suits(self, length: int) -> int:
        """The starts from which so many slots suit the client."""
        key = ("suits", length)
        if key not in self.memo:
            self.memo[key] = self.windows.fits(length) & self.preferred()
        return self.memo[key]

    def preferred(self) -> int:
        """The starts that a hard wish for a time leaves; everything without one."""
        wish, preferred = self.index.house.wish("preferred-time", self.request), None
        if wish is not None and wish.hard:
            preferred = self.request.preferred
        if preferred is None:
            return -1
        start, end = self.index.raster.frame.span(preferred)
        unit = self.index.raster.unit
        return span(-(-start // unit), end // unit + 1)

    def on_grid(self, layout: Layout) -> int:
        starts = -1
        if self.index.raster.on_grid != -1:
            for bound in layout.bounds:
                starts &= moved(self.index.raster.on_grid, -bound)
        return starts

    def lead(self, layout: Layout, hands: Hands) -> int:
        """Starts at which the lead's hands are free and her break stays possible."""
        starts = hands.leads.get(layout)
        if starts is None:
            inside = layout.inside
            bounds = None if inside is None else (layout.bounds[inside], layout.bounds[inside + 1])
            starts = hands.leads[layout] = self._lead(layout.lead_pieces, bounds, hands)
        return starts

    def _lead(self, pieces: tuple[Piece, ...], bounds: Piece | None, hands: Hands) -> int:
        """The same by what matters of a layout, so that many layouts share a set."""
        key = ("lead", pieces, bounds)
        if key not in hands.memo:
            starts = hands.works(pieces)
            if starts and self.index.house.meal_is_hard:
                starts &= hands.rests(pieces) if bounds is None else hands.rests_inside(*bounds)
            hands.memo[key] = starts
        return hands.memo[key]

    def assistant(self, layout: Layout, hands: Hands) -> int:
        """Starts at which the assistant's hands are free and her break stays possible."""
        starts = hands.assists.get(layout)
        if starts is None:
            starts = hands.assists[layout] = self._assistant(layout, hands)
        return starts

    def _assistant(self, layout: Layout, hands: Hands) -> int:
        pieces, floating = layout.assistant_pieces, layout.floating
        hard, on_grid = self.index.house.meal_is_hard, self.index.raster.on_grid
        if floating is None:
            starts = hands.works(pieces)
            return starts & hands.rests(pieces) if starts and hard else starts
        if hard:
            return help_with_rest(hands, pieces, floating, on_grid)
        return help_starts(hands, pieces, floating, on_grid)

    def basins(self, layout: Layout) -> int:
        """Starts at which some basin is free for each wash."""
        starts = -1
        for number in self.washes:
            begin, end = layout.bounds[number], layout.bounds[number + 1]
            starts &= moved(self.index.any_basin(end - begin), -begin)
        return starts
