"""The starts at which a way to staff a visit fits the book."""

from __future__ import annotations

from dataclasses import dataclass, field

from schemas.booking import Request
from schemas.work import Place
from solver.bits import moved, span
from solver.openings.crews import Way, needs_chair
from solver.openings.hands import Hands, Piece
from solver.openings.helping import help_starts, help_with_rest
from solver.openings.index import BookIndex
from solver.openings.layers import Layers


@dataclass
class Search:
    """One request against one index."""

    index: BookIndex
    request: Request
    windows: Layers = field(init=False)
    memo: dict[object, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.windows = Layers.of(
            self.index.raster.inward(window) for window in self.request.windows
        )

    def starts(self, way: Way) -> int:
        """The starts at which everything this way takes is free and every break stays possible."""
        starts = self.frame(way.length)
        if starts:
            starts &= self.on_grid(way)
        if starts:
            starts &= self.lead(way)
        if starts and way.assistant is not None:
            starts &= self.assistant(way)
        if starts:
            starts &= self.basins(way)
        return starts

    def frame(self, length: int) -> int:
        """Arrivals inside opening hours and the client's windows, with a chair, on sound days."""
        key = ("frame", length)
        if key not in self.memo:
            starts = self.arrivals & self.index.open_for(length) & self.windows.fits(length)
            if starts and needs_chair(self.request):
                starts &= self.index.any_chair(self.request.chair_features, length)
            self.memo[key] = starts
        return self.memo[key]

    @property
    def arrivals(self) -> int:
        """Starts the client can arrive at, less days that are in trouble as they stand."""
        key = "arrivals"
        if key not in self.memo:
            starts = self.index.raster.arrivals & ~self.index.troubled
            self.memo[key] = starts & self.preferred()
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

    def on_grid(self, way: Way) -> int:
        starts = -1
        if self.index.raster.on_grid != -1:
            for bound in way.bounds:
                starts &= moved(self.index.raster.on_grid, -bound)
        return starts

    def lead(self, way: Way) -> int:
        """Starts at which the lead's hands are free and her break stays possible."""
        pieces = way.pieces(way.lead.person.id)
        starts = _free(way.lead, pieces)
        if not starts or not self.index.house.meal_is_hard:
            return starts
        if way.inside is not None:
            bounds = way.bounds[way.inside], way.bounds[way.inside + 1]
            return starts & way.lead.rests_inside(*bounds)
        return starts & way.lead.rests(pieces) if pieces else starts

    def assistant(self, way: Way) -> int:
        """Starts at which the assistant's hands are free and her break stays possible."""
        hands = way.assistant
        if hands is None:
            return -1
        pieces = way.pieces(hands.person.id)
        hard = self.index.house.meal_is_hard
        if way.helped is None:
            starts = hands.works(pieces)
            return starts & hands.rests(pieces) if hard else starts
        floating = way.bounds[way.helped], way.bounds[way.helped + 1], way.help
        on_grid = self.index.raster.on_grid
        if hard:
            return help_with_rest(hands, pieces, floating, on_grid)
        return help_starts(hands, pieces, floating, on_grid)

    def basins(self, way: Way) -> int:
        """Starts at which some basin is free for each wash."""
        starts = -1
        for index, work in enumerate(self.request.phases):
            if work.place is Place.BASIN:
                begin, end = way.bounds[index], way.bounds[index + 1]
                starts &= moved(self.index.any_basin(end - begin), -begin)
        return starts


def _free(hands: Hands, pieces: tuple[Piece, ...]) -> int:
    return hands.works(pieces) if pieces else -1
