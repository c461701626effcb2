"""The index of a day book: every chair, basin and pair of hands as bit sets over its slots.

Built once per book and asked many times. Everything here states the book as it stands; a question
only reads it (and fills the memos of runs).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import Any

from schemas.booking import Booking
from schemas.daybook import DayBook
from schemas.plan import Plan, PlannedBreak
from schemas.resources import Role
from schemas.rules import Finding
from schemas.work import PhaseWork
from solver.bits import Stretches, runs, slots, span
from solver.checker import check
from solver.openings import shelf
from solver.openings.blocks import Block, blocks_of
from solver.openings.changes import Changes, booked, changes, unbooked
from solver.openings.composed import JudgedDays
from solver.openings.crews import Way
from solver.openings.facts import BookFacts, Halved, halved
from solver.openings.hands import Hands
from solver.openings.house import House
from solver.openings.judge import DayJudge, HardRules
from solver.openings.kept import Kept, forget_oldest
from solver.openings.layers import Layers
from solver.openings.raster import Raster
from solver.openings.standing import (
    basin_free,
    chair_free,
    day_standing,
    hands_of,
    placed_visits,
)
from solver.openings.styles import StyleBook
from solver.openings.worth import Worth
from solver.takeoff.work import with_work

MEMO_BYTES = 20_000_000
"""About how much the index may remember of what led to the sets kept for styles."""
KEPT_BYTES = 60_000_000
"""At most how much each sort of these may take; a month and fifty styles take a tenth of it."""
TRIM_EVERY = 16
"""Questions between two looks at how much is remembered."""
USE_BYTES = 150
"""What it costs to remember which set a layout has."""
MOST_STYLES = 100
"""Styles whose layouts are kept; a salon's menu has fewer in a day's use."""
MOST_HALVED = 6_000
"""Sets of starts that are kept parted into halves of days."""
MOST_JUDGED = 3000
"""Places written out that are kept, of some 4 kB each."""


WayKey = tuple[int, tuple[str, ...], tuple[str, int], bool]
"""A style by identity, features of the chair, the lead's key, and whether somebody assists."""


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
    trouble: tuple[Finding | None, ...]
    """By block, a breach of a hard rule in the book as it stands, if there is one."""
    rules: HardRules = field(compare=False)
    memo: dict[tuple[object, ...], int] = field(default_factory=dict, compare=False)
    judges: dict[int, DayJudge] = field(default_factory=dict, compare=False)
    ways: dict[WayKey, Kept[Way]] = field(default_factory=dict, compare=False)
    """By style, lead and kind of crew, the shortest ways and their starts (see `places`)."""
    reaches: dict[object, Kept[Any]] = field(default_factory=dict, compare=False)
    """By style and lead, how far starts get (see `reaches`)."""
    asked: list[int] = field(default_factory=lambda: [0], compare=False)
    """How often `trim` was called since it looked."""
    worths: dict[tuple[str, int], Worth] = field(default_factory=dict, compare=False)
    """By lead and shortest work, what her free stretches are worth (see `worth`)."""
    halves: dict[int, Halved] = field(default_factory=dict, compare=False)
    """By starts, what `halved` gave."""
    beside: dict[tuple[int, date], tuple[int, ...]] = field(default_factory=dict, compare=False)
    """By block and day, what `neighbours` gave."""
    stretches: dict[str, Stretches] = field(default_factory=dict, compare=False)
    """By chair, when a new client may sit there while the salon is open."""
    idlers: dict[int, Hands] = field(default_factory=dict, compare=False)
    """By identity of hands of this index, what `idle` gave."""
    styles: dict[tuple[PhaseWork, ...], StyleBook] = field(default_factory=dict, compare=False)
    """By the phases asked about of late."""
    judged: dict[object, JudgedDays] = field(default_factory=dict, compare=False)
    """By what clients asked for, the places written out and judged (see `judged`)."""

    @classmethod
    def of(cls, day_book: DayBook) -> BookIndex:
        """Raises RuleError or StyleError where the book's rules or styles make no sense."""
        book = with_work(day_book)
        raster, house, blocks = Raster.of(book), House.of(book), blocks_of(book)
        visits = placed_visits(book)
        days = tuple(day_standing(book, block, raster, house) for block in blocks)
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
            basins={basin.id: basin_free(visits, basin.id, raster) for basin in book.basins},
            hands=hands_of(book, book.staff, blocks, raster, house),
            days=days,
            trouble=tuple(map(_trouble, days)),
            rules=HardRules(book),
        )

    def changed(self, day_book: DayBook) -> BookIndex:
        """The index of `day_book`, equal to `BookIndex.of(day_book)`.

        Where only bookings and breaks differ, what they do not touch is taken over as it is, with
        what is remembered of it. This index stays as it was. Raises as `of`.
        """
        book = with_work(day_book)
        differ = changes(self.day_book, book, self.blocks)
        if differ is None:
            return BookIndex.of(book)
        visits, raster, house = placed_visits(book), self.raster, self.house
        days, trouble = list(self.days), list(self.trouble)
        touched = differ.blocks
        if shelf.CODE in house.settings:
            touched = set(range(len(days)))  # a day's hair is what all other days leave
        for number in touched:
            days[number] = day_standing(book, self.blocks[number], raster, house)
            trouble[number] = _trouble(days[number])
        people = [person for person in book.staff if person.id in differ.people]
        stale = self.slots_of(touched)
        after = replace(
            self,
            day_book=book,
            chairs=self.chairs
            | {
                chair.id: chair_free(book, chair, visits, raster, house.turnaround(chair))
                for chair in book.chairs
                if chair.id in differ.chairs and not chair.retired
            },
            basins=self.basins
            | {
                basin.id: basin_free(visits, basin.id, raster)
                for basin in book.basins
                if basin.id in differ.basins
            },
            hands=self.hands | hands_of(book, people, self.blocks, raster, house),
            days=tuple(days),
            trouble=tuple(trouble),
            idlers={},
            worths={},
            stretches={
                chair: known
                for chair, known in self.stretches.items()
                if chair not in differ.chairs
            },
            ways={},
            reaches={key: kept.after(stale) for key, kept in self.reaches.items()},
            memo={
                key: bits
                for key, bits in self.memo.items()
                if key[1] not in (differ.chairs if key[0] != "basin" else differ.basins)
                and key[0] not in {"chairs", "basins"}
            },
            judges={}
            if self.rules.hours
            else {n: judge for n, judge in self.judges.items() if n not in touched},
            judged={}
            if self.rules.hours
            else {
                facts: {n: known for n, known in days.items() if n not in touched}
                for facts, days in self.judged.items()
            },
        )
        after.ways.update(self._ways_after(after, differ, stale))
        return after

    def _ways_after(
        self, after: BookIndex, differ: Changes, stale: int
    ) -> Iterator[tuple[WayKey, Kept[Way]]]:
        """The shortest ways, gone stale in some slots where the change can touch them at all.

        It touches nobody's ways but of those whose hands it takes, unless the chairs or the basins
        that it takes were wanted.
        """
        all_ = bool(differ.basins) or any(
            (old is None) != (new is None)
            for old, new in zip(self.trouble, after.trouble, strict=True)
        )
        people = [each for each in self.day_book.staff if each.id in differ.people]
        assists = any(Role.ASSISTANT in person.roles for person in people)
        seated: dict[tuple[str, ...], bool] = {}
        for key, kept in self.ways.items():
            _, features, (lead, _), helped = key
            if features not in seated:
                seated[features] = self._seats_as(after, features, differ, stale)
            alike = seated[features] and not all_ and lead not in differ.people
            yield key, kept if alike and not (helped and assists) else kept.after(stale)

    def _seats_as(
        self, after: BookIndex, features: tuple[str, ...], differ: Changes, stale: int
    ) -> bool:
        """Whether from every arrival some fitting chair is free for as long as it is `after`."""
        chairs = self.fitting_chairs(features)
        if differ.chairs.isdisjoint(chairs):
            return True
        arrivals = list(slots(self.raster.arrivals & self.open.union & stale))
        return all(self._longest(chairs, slot) == after._longest(chairs, slot) for slot in arrivals)

    def _longest(self, chairs: tuple[str, ...], slot: int) -> int:
        """Slots for which some of these chairs is free from `slot` on."""
        around = (self.chair_stretches(chair).around(slot, slot + 1) for chair in chairs)
        return max((1 + each[1] for each in around if each is not None), default=0)

    def with_booking(
        self, booking: Booking, breaks: tuple[PlannedBreak, ...] | None = None
    ) -> BookIndex:
        """The index once `booking` is on the book, in place of one of the same id.

        `breaks` are its crew's of the days it is on; left out, all breaks stay.
        """
        return self.changed(booked(self.day_book, self.blocks, booking, breaks))

    def without_booking(self, name: str) -> BookIndex:
        """The index once this booking, and the breaks inside its visit, are off the book."""
        return self.changed(unbooked(self.day_book, name))

    def judge(self, block: int) -> DayJudge:
        """Who judges visits added to this block."""
        if block not in self.judges:
            others = (day for number, day in enumerate(self.days) if number != block)
            self.judges[block] = DayJudge(self.rules, self.days[block], others)
        return self.judges[block]

    def judged_before(self, facts: object) -> JudgedDays:
        """What was written out and judged for clients who asked for the same."""
        if facts not in self.judged:
            if (
                sum(len(day) for days in self.judged.values() for day in days.values())
                > MOST_JUDGED
            ):
                self.judged.clear()
            self.judged[facts] = {}
        return self.judged[facts]

    def style(self, works: tuple[PhaseWork, ...]) -> StyleBook:
        """What is known of visits with these phases."""
        if works not in self.styles:
            if len(self.styles) >= MOST_STYLES:
                self.styles.clear()
                self.ways.clear()
                self.reaches.clear()
            self.styles[works] = StyleBook(works, self.raster.step)
        return self.styles[works]

    def trim(self) -> None:
        """Forget some of what was asked once it has grown past `MEMO_BYTES`.

        First what led to the sets kept for styles, then those themselves. Looked at once in
        `TRIM_EVERY` calls.
        """
        asked = self.asked[0] = (self.asked[0] + 1) % TRIM_EVERY
        if asked:
            return
        everyone = [each for own in self.hands.values() for each in own]
        everyone += self.idlers.values()
        # A set costs its slots in bits, and its key and places in the tables some 300 bytes more.
        each_set = self.raster.slots // 8 + 300
        sets = len(self.memo) + sum(len(each.memo) for each in everyone)
        uses = sum(len(each.leads) + len(each.assists) for each in everyone)
        if sets * each_set + uses * USE_BYTES > MEMO_BYTES:
            self.memo.clear()
            for each in everyone:
                each.memo.clear()
                each.leads.clear()
                each.assists.clear()
        # A set ends with its last start: about half of the slots.
        each_set = self.raster.slots // 16 + 250
        forget_oldest(self.ways, KEPT_BYTES // each_set)
        forget_oldest(self.reaches, KEPT_BYTES // each_set)

    def idle(self, hands: Hands) -> Hands:
        """A person of this index with nothing to do all day."""
        found = self.idlers.get(id(hands))
        if found is None:
            free = 0
            for shift in hands.shifts:
                free |= span(shift.start, shift.end)
            found = self.idlers[id(hands)] = replace(
                hands, free=free, memo={}, leads={}, assists={}
            )
        return found

    def halved(self, starts: int) -> Halved:
        """The starts by the half of the opening day in which they lie."""
        known = self.halves.get(starts)
        if known is None:
            if len(self.halves) >= MOST_HALVED:
                self.halves.clear()
            known = self.halves[starts] = tuple(halved(starts, self.facts.halves))
        return known

    def remembered(self, key: tuple[object, ...], reckon: Callable[[], int]) -> int:
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

    def chair_stretches(self, chair: str) -> Stretches:
        """When a new client may sit on `chair` while the salon is open."""
        known = self.stretches.get(chair)
        if known is None:
            free = self.chairs[chair] & self.open.union
            known = self.stretches[chair] = Stretches.of(free)
        return known

    def basin_runs(self, basin: str, length: int) -> int:
        key = ("basin", basin, length)
        if key not in self.memo:
            self.memo[key] = runs(self.basins[basin], length)
        return self.memo[key]

    def any_basin(self, length: int) -> int:
        key = ("basins", length)
        if key not in self.memo:
            found = 0
            for basin in self.basins:
                found |= self.basin_runs(basin, length)
            self.memo[key] = found
        return self.memo[key]

    def neighbours(self, block: int, day: date) -> tuple[int, ...]:
        """Other blocks beside this one that open on the same local day."""
        key = block, day
        if key not in self.beside:
            self.beside[key] = tuple(self._neighbours(block, day))
        return self.beside[key]

    def _neighbours(self, block: int, day: date) -> Iterator[int]:
        for step in (-1, 1):
            near = block + step
            while 0 <= near < len(self.blocks) and any(
                self.raster.frame.local_day(each.start) == day for each in self.blocks[near].windows
            ):
                yield near
                near += step

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

    def block_at(self, slot: int) -> int:
        """Which block's opening hours `slot` lies in. Raises LookupError where there is none."""
        near = bisect_right(self._opened, (slot, len(self.blocks))) - 1
        if near >= 0:
            start, number = self._opened[near]
            if slot < self._closed[start]:
                return number
        raise LookupError(f"slot {slot} lies outside all opening hours")

    @cached_property
    def _opened(self) -> list[tuple[int, int]]:
        """Where each opening window begins, in slots and in order, and its block."""
        outward, blocks = self.raster.outward, enumerate(self.blocks)
        return sorted((outward(each)[0], number) for number, b in blocks for each in b.windows)

    @cached_property
    def _closed(self) -> dict[int, int]:
        """By where it begins, where an opening window ends."""
        return dict(self.raster.outward(each) for block in self.blocks for each in block.windows)

    @cached_property
    def facts(self) -> BookFacts:
        """What questions ask of the book besides its slots."""
        return BookFacts(self.day_book, self.raster)

    @cached_property
    def arrivals(self) -> int:
        """Slots at which a client may arrive, on sound days."""
        return self.raster.arrivals & ~self.troubled

    @property
    def troubled(self) -> int:
        """Slots of blocks that cannot be sold as the book stands."""
        return self.slots_of(n for n, finding in enumerate(self.trouble) if finding is not None)

    def slots_of(self, blocks: Iterable[int]) -> int:
        """The slots of these blocks' opening hours."""
        return self.raster.taken(
            window for number in blocks for window in self.blocks[number].windows
        )


def _trouble(day: tuple[DayBook, Plan]) -> Finding | None:
    return next((finding for finding in check(*day) if finding.hard), None)
