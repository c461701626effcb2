"""The index of a day book: every chair, basin and pair of hands as bit sets over its slots.

Built once per book and asked many times. Everything here states the book as it stands; a question
only reads it (and fills the memos of runs).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import chain

from schemas.booking import BookingStatus
from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedBreak, PlannedVisit
from schemas.resources import Chair, Shift
from schemas.rules import Finding
from schemas.work import PhaseWork
from solver.bits import runs, span
from solver.checker import check
from solver.openings.blocks import Block, blocks_of, day_of
from solver.openings.breaks import complete_breaks
from solver.openings.hands import Hands
from solver.openings.house import House
from solver.openings.layers import Layers
from solver.openings.layouts import Ability, Layout, layouts
from solver.openings.meals import shift_meals, work_of
from solver.openings.raster import Raster
from solver.takeoff.work import with_work

MEMO_BYTES = 48_000_000
"""About how much the index may remember of what it was asked."""
MOST_STYLES = 500
"""Phases and abilities whose layouts are kept; a salon's menu has fewer styles in a day's use."""


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
    memo: dict[object, int] = field(default_factory=dict, compare=False)
    styles: dict[object, list[Layout]] = field(default_factory=dict, compare=False)
    """Layouts of the phases and abilities asked about of late."""

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
            basins=_basins(book, visits, raster),
            hands=_hands(book, visits, blocks, raster, house),
            days=days,
            trouble=tuple(_trouble(blocks, days, raster)),
        )

    def layouts(
        self, works: tuple[PhaseWork, ...], lead: Ability, assistant: Ability | None
    ) -> list[Layout]:
        """The layouts of these phases for such a crew, the shortest first."""
        key = (works, lead, assistant)
        if key not in self.styles:
            if len(self.styles) >= MOST_STYLES:
                self.styles.clear()
            self.styles[key] = layouts(works, lead, assistant, self.raster.step)
        return self.styles[key]

    def trim(self) -> None:
        """Forget what was asked once it has grown past `MEMO_BYTES`."""
        everyone = [each for own in self.hands.values() for each in own]
        memos = [self.memo, *(each.memo for each in everyone)]
        # A set costs its slots in bits, and its key and places in the tables some 300 bytes more.
        if sum(map(len, memos)) * (self.raster.slots // 8 + 300) > MEMO_BYTES:
            for memo in memos:
                memo.clear()

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


def placed_visits(day_book: DayBook) -> tuple[PlannedVisit, ...]:
    return tuple(
        booking.placed
        for booking in day_book.bookings
        if booking.placed is not None and booking.status is not BookingStatus.CANCELLED
    )


def chair_free(
    day_book: DayBook,
    chair: Chair,
    visits: tuple[PlannedVisit, ...],
    raster: Raster,
    turnaround: int,
) -> int:
    """Slots of opening hours in which a new client may sit on `chair`, cleaning regarded."""
    taken = raster.taken(c.window for c in day_book.closures if c.chair == chair.id)
    for visit in visits:
        if visit.chair == chair.id:
            start, end = raster.frame.span(visit.window)
            first, last = (start - turnaround) // raster.unit, -(-(end + turnaround) // raster.unit)
            taken |= span(first, min(last, raster.slots))
    return span(0, raster.slots) & ~taken


def _basins(day_book: DayBook, visits: tuple[PlannedVisit, ...], raster: Raster) -> dict[str, int]:
    washes = defaultdict(list)
    for phase in chain.from_iterable(visit.phases for visit in visits):
        if phase.basin is not None:
            washes[phase.basin].append(phase.window)
    everything = span(0, raster.slots)
    return {basin.id: everything & ~raster.taken(washes[basin.id]) for basin in day_book.basins}


def _hands(
    day_book: DayBook,
    visits: tuple[PlannedVisit, ...],
    blocks: tuple[Block, ...],
    raster: Raster,
    house: House,
) -> dict[str, tuple[Hands, ...]]:
    shifts: dict[str, list[list[Shift]]] = defaultdict(list)
    for block in blocks:
        here: dict[str, int] = defaultdict(int)
        for shift in block.shifts:
            ordinal = here[shift.staff]
            here[shift.staff] += 1
            while len(shifts[shift.staff]) <= ordinal:
                shifts[shift.staff].append([])
            shifts[shift.staff][ordinal].append(shift)
    visits_of: dict[str, list[PlannedVisit]] = defaultdict(list)
    for visit in visits:
        for person_id in (visit.lead, *visit.assistants):
            visits_of[person_id].append(visit)
    breaks: dict[str, list[PlannedBreak]] = defaultdict(list)
    for each in sorted(day_book.breaks, key=lambda each: each.window.start):
        breaks[each.staff].append(each)
    found: dict[str, tuple[Hands, ...]] = {}
    for person in day_book.staff:
        if person.retired or not shifts[person.id]:
            continue
        rule = house.meal(person)
        work = work_of(person.id, visits_of[person.id], raster)
        own = breaks[person.id]
        meals = [
            [
                shift_meals(
                    shift,
                    rule,
                    work,
                    [each for each in own if each.window.overlaps(shift.window)],
                    raster,
                )
                for shift in ordinal
            ]
            for ordinal in shifts[person.id]
        ]
        moving = [m.movable for each in meals for m in each if m.movable is not None]
        kept = tuple(each for each in own if each not in moving)
        busy = work | raster.taken(each.window for each in kept)
        found[person.id] = tuple(Hands.of(person, each, busy, kept) for each in meals)
    return found


def _trouble(
    blocks: tuple[Block, ...], days: tuple[tuple[DayBook, Plan], ...], raster: Raster
) -> Iterator[tuple[int, Finding]]:
    for block, day in zip(blocks, days, strict=True):
        hard = [finding for finding in check(*day) if finding.hard]
        if hard:
            yield raster.taken(block.windows), hard[0]
