"""The index of a day book: every chair, basin and pair of hands as bit sets over its slots.

Built once per book and asked many times. Everything here states the book as it stands; a question
only reads it (and fills the memos of runs).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.rules import Finding
from schemas.work import PhaseWork
from solver.bits import runs
from solver.checker import check
from solver.openings.blocks import Block, blocks_of, day_of
from solver.openings.breaks import complete_breaks
from solver.openings.hands import Hands
from solver.openings.house import House
from solver.openings.judge import DayJudge, HardRules
from solver.openings.layers import Layers
from solver.openings.raster import Raster
from solver.openings.standing import basins_free, chair_free, hands_of, placed_visits
from solver.openings.styles import StyleBook
from solver.takeoff.work import with_work

MEMO_BYTES = 48_000_000
"""About how much the index may remember of what it was asked."""
MOST_STYLES = 100
"""Styles whose layouts are kept; a salon's menu has fewer in a day's use."""


@dataclass(frozen=True)
class BookIndex:
    """A day book made ready for questions."""

    day_book: DayBook
    """The book, its work taken off."""
    raster: Raster
    house: House
    blocks: tuple[Block, ...]
    open: Layers
    chairs: dict[str, int]
    """By chair in use, the slots a new client may sit there (turnaround regarded)."""
    basins: dict[str, int]
    hands: dict[str, tuple[Hands, ...]]
    days: tuple[tuple[DayBook, Plan], ...]
    """By block, its part of the book and its plan as they stand, breaks owed completed."""
    trouble: tuple[tuple[int, Finding], ...]
    """Blocks (as slots) in which the book as it stands breaks a hard rule, and one breach."""
    rules: HardRules = field(compare=False)
    memo: dict[object, int] = field(default_factory=dict, compare=False)
    judges: dict[int, DayJudge] = field(default_factory=dict, compare=False)
    styles: dict[tuple[PhaseWork, ...], StyleBook] = field(default_factory=dict, compare=False)
    """By the phases asked about of late."""

    @classmethod
    def of(cls, day_book: DayBook) -> BookIndex:
        """Raises RuleError or StyleError where the book's rules or styles make no sense."""
        book = with_work(day_book)
        raster, house, blocks = Raster.of(book), House.of(book), blocks_of(book)
        visits = placed_visits(book)
        breaks = complete_breaks(book, Plan(visits=visits, breaks=book.breaks))
        days = tuple(day_of(book, block, breaks) for block in blocks)
        return cls(
            day_book=book,
            raster=raster,
            house=house,
            blocks=blocks,
            open=Layers.of(raster.inward(window) for window in book.open),
            chairs={
                chair.id: chair_free(book, chair, visits, raster, house.turnaround(chair))
                for chair in book.chairs
                if not chair.retired
            },
            basins=basins_free(book, visits, raster),
            hands=hands_of(book, visits, blocks, raster, house),
            days=days,
            trouble=tuple(_trouble(blocks, days, raster)),
            rules=HardRules(book),
        )

    def judge(self, block: int) -> DayJudge:
        """Who judges visits added to this block."""
        if block not in self.judges:
            others = (day for number, day in enumerate(self.days) if number != block)
            self.judges[block] = DayJudge(self.rules, self.days[block], others)
        return self.judges[block]

    def style(self, works: tuple[PhaseWork, ...]) -> StyleBook:
        """What is known of visits with these phases."""
        if works not in self.styles:
            if len(self.styles) >= MOST_STYLES:
                self.styles.clear()
            self.styles[works] = StyleBook(works, self.raster.step)
        return self.styles[works]

    def trim(self) -> None:
        """Forget what was asked once it has grown past `MEMO_BYTES`."""
        everyone = [each for own in self.hands.values() for each in own]
        memos = [self.memo, *(each.memo for each in everyone)]
        # A set costs its slots in bits, and its key and places in the tables some 300 bytes more.
        if sum(map(len, memos)) * (self.raster.slots // 8 + 300) > MEMO_BYTES:
            for memo in memos:
                memo.clear()

    def remembered(self, key: object, reckon: Callable[[], int]) -> int:
        """What `reckon` gives, asked once for each key."""
        if key not in self.memo:
            self.memo[key] = reckon()
        return self.memo[key]

    def chair_runs(self, chair: str, length: int) -> int:
        """The slots from which `chair` is free for `length` slots on end."""
        key = ("chair", chair, length)
        if key not in self.memo:
            self.memo[key] = runs(self.chairs[chair], length)
        return self.memo[key]

    def basin_runs(self, basin: str, length: int) -> int:
        key = ("basin", basin, length)
        if key not in self.memo:
            self.memo[key] = runs(self.basins[basin], length)
        return self.memo[key]

    def any_basin(self, length: int) -> int:
        found = 0
        for basin in self.basins:
            found |= self.basin_runs(basin, length)
        return found

    def fitting_chairs(self, features: tuple[str, ...]) -> tuple[str, ...]:
        """Chairs in use that have all `features`."""
        return tuple(
            chair.id
            for chair in self.day_book.chairs
            if not chair.retired and set(features) <= set(chair.features)
        )

    def any_chair(self, features: tuple[str, ...], length: int) -> int:
        key = ("chairs", features, length)
        if key not in self.memo:
            found = 0
            for chair in self.fitting_chairs(features):
                found |= self.chair_runs(chair, length)
            self.memo[key] = found
        return self.memo[key]

    def open_for(self, length: int) -> int:
        key = ("open", length)
        if key not in self.memo:
            self.memo[key] = self.open.fits(length)
        return self.memo[key]

    @property
    def troubled(self) -> int:
        """Slots of blocks that cannot be sold as the book stands."""
        bits = 0
        for block, _ in self.trouble:
            bits |= block
        return bits


def _trouble(
    blocks: tuple[Block, ...], days: tuple[tuple[DayBook, Plan], ...], raster: Raster
) -> Iterator[tuple[int, Finding]]:
    for block, day in zip(blocks, days, strict=True):
        hard = [finding for finding in check(*day) if finding.hard]
        if hard:
            yield raster.taken(block.windows), hard[0]
