"""A day under construction, fast to ask: who is free when, as bits over the steps of the grid.

Bit `i` of a mask stands for step `low + i`. Hard and soft rules are all kept here, so what is laid
on the board is a plan without a finding, preferences apart.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from schemas.plan import BreakKind
from schemas.work import Place
from solver.model.asked_breaks import dues_of
from solver.model.constraints import ALLOWS
from solver.model.constraints.turnaround import steps_of
from solver.model.dues import Due, Key
from solver.model.facts import Day, Span
from solver.model.hands import Handwork, joined
from solver.model.hours import limits
from solver.model.overtime import steady
from solver.model.placement import BreakPlacement, VisitPlacement
from solver.model.sharing import joint


@dataclass
class Laid:
    """A visit laid on the board, not yet put down."""

    placement: VisitPlacement
    masks: dict[int, int]
    inside: dict[Key, int]
    """Where the breaks inside start."""


@dataclass
class Board:
    """The day and what has been put down on it so far."""

    day: Day
    busy: list[int] = field(default_factory=list)
    laid: dict[int, Laid] = field(default_factory=dict)
    inside: dict[Key, tuple[int, int]] = field(default_factory=dict)
    """Breaks inside: the visit each lies in, and its start."""
    seats: list[list[int]] = field(default_factory=list)
    """By chair group: clients (and turnarounds) at each step."""
    washes: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        day = self.day
        low, high = day.horizon
        self.low = min([low, *(shift.start for shift in day.shifts)])
        self.width = max([high, *(shift.end for shift in day.shifts)]) - self.low
        self.dues: list[list[Due]] = [[] for _ in day.shifts]
        """By shift, the breaks that have room at all, the most urgent first."""
        self.over = steady(day)
        """By shift, the steps of overtime for which it owes these breaks, from and to."""
        asked = (due for due in dues_of(day) if due.is_asked(self.over[due.shift][0]))
        for due in joint(asked):
            if due.fits:
                self.dues[due.shift].append(due)
        self.limit = [shift.end + self.over[shift.index][1] for shift in day.shifts]
        for dues in self.dues:
            dues.sort(key=lambda due: due.last)
        self.limits = [limits(day, shift) for shift in day.shifts]
        self.judges = [
            allows
            for code, allows in ALLOWS.items()
            if any(setting.hard for setting in day.settings_of(code))
        ]
        self.turnaround = [steps_of(day, group.index) for group in day.groups]
        self.clear()

    def clear(self) -> None:
        """Take everything off."""
        margin = max([0, *self.turnaround])
        self.busy = [~self.mask(s.start, self.limit[s.index]) for s in self.day.shifts]
        self.laid.clear()
        self.inside.clear()
        self.seats = [[0] * (self.width + margin) for _ in self.day.groups]
        self.washes = [0] * self.width

    def mask(self, start: int, end: int) -> int:
        return ((1 << max(0, end - start)) - 1) << (start - self.low)

    def is_free(self, shift: int, start: int, end: int, own: dict[int, int]) -> bool:
        taken = self.busy[shift] | own.get(shift, 0)
        return not taken & self.mask(start, end)

    def runs(self, shift: int, steps: int) -> int:
        """The steps from which the shift is free for so many steps on end, as a mask."""
        return _runs(~self.busy[shift], steps)

    def can_rest(self, shift: int, own: dict[int, int], inside: dict[Key, int]) -> bool:
        """Whether the breaks of a shift have places between duties beside those inside one."""
        if self.squeezed(shift, own, inside) is not None:
            return False
        return self.may_work(shift, own, inside)

    def may_work(self, shift: int, own: dict[int, int], inside: dict[Key, int]) -> bool:
        """Whether the rules on hours allow the day of whoever has this shift."""
        if not self.limits[shift]:
            return True
        person = self.day.shifts[shift].person.id
        mine = [each for each in self.day.shifts if each.person.id == person]
        laid = {key: start for key, (_, start) in self.inside.items()} | inside
        spans: list[Span] = []
        rests: list[Span] = []
        for each in mine:
            taken = own.get(each.index, 0)
            work = (self.busy[each.index] | taken) & self.mask(each.start, self.limit[each.index])
            starts = self._rests(each.index, taken, inside)
            for due in self.dues[each.index]:
                if due.key in laid:
                    work &= ~self.mask(laid[due.key], laid[due.key] + due.size)
                if due.kind is BreakKind.REST and due.key in starts:
                    rests.append((starts[due.key], starts[due.key] + due.size))
            spans += self._spans(work)
        work_of_day = Handwork(person, joined(spans, 1), rests)
        return all(allows(self.day, setting, work_of_day) for setting, allows in self.limits[shift])

    def _spans(self, bits: int) -> list[Span]:
        spans, low = [], self.low
        while bits:
            skip = (bits & -bits).bit_length() - 1
            bits >>= skip
            length = (~bits & (bits + 1)).bit_length() - 1
            spans.append((low + skip, low + skip + length))
            bits >>= length
            low += skip + length
        return spans

    def squeezed(self, shift: int, own: dict[int, int], inside: dict[Key, int]) -> Due | None:
        """A break of the shift that finds no place any more; None where all do."""
        dues = self.dues[shift]
        if not dues:
            return None
        if len(dues) == 1:
            (due,) = dues
            if due.key in inside or due.key in self.inside:
                return None
            free = _runs(~(self.busy[shift] | own.get(shift, 0)), due.size)
            return None if free & self.mask(due.first, due.last + 1) else due
        placed = self._rests(shift, own.get(shift, 0), inside)
        return next((due for due in self.dues[shift] if due.key not in placed), None)

    def _rests(self, shift: int, own: int, inside: dict[Key, int]) -> dict[Key, int]:
        """Where the breaks of a shift start: inside as laid, the others as early as can be."""
        fixed = {key: start for key, (_, start) in self.inside.items() if key[1] == shift} | inside
        taken, starts = self.busy[shift] | own, dict[Key, int]()
        for due in self.dues[shift]:
            first, last = due.first, due.last
            before = self._due(due.after)
            if before is not None:
                if before.key not in starts:
                    continue
                first = max(first, starts[before.key] + before.size)
            for follower in self.dues[shift]:
                if follower.after == due.key and follower.key in fixed:
                    last = min(last, fixed[follower.key] - due.size)
            if due.key in fixed:
                if first <= fixed[due.key] <= last:
                    starts[due.key] = fixed[due.key]
                continue
            free = _runs(~taken, due.size) & self.mask(first, last + 1)
            if free:
                start = self.low + (free & -free).bit_length() - 1
                starts[due.key] = start
                taken |= self.mask(start, start + due.size)
        return starts

    def _due(self, key: Key | None) -> Due | None:
        if key is None:
            return None
        return next((due for due in self.dues[key[1]] if due.key == key), None)

    def has_seat(self, group: int, start: int, end: int) -> bool:
        chairs = self.day.groups[group]
        if any(start < closed_end and closed < end for closed, closed_end in chairs.closed):
            return False
        begin, stop = start - self.low, end + self.turnaround[group] - self.low
        return max(self.seats[group][begin:stop], default=0) < len(chairs.chairs)

    def has_basin(self, start: int, end: int, own: list[tuple[int, int]]) -> bool:
        taken = sum(start < last and first < end for first, last in own)
        most = max(self.washes[start - self.low : end - self.low], default=0)
        return most + taken < len(self.day.basins)

    def allowed(self, placed: VisitPlacement) -> bool:
        """Whether the hard rules of the house let the visit stand beside what is on the board."""
        others = [laid.placement for laid in self.laid.values()] if self.judges else []
        return all(allows(self.day, others, placed) for allows in self.judges)

    def put(self, laid: Laid) -> None:
        """Put a laid visit down."""
        placed = laid.placement
        self.laid[placed.visit] = laid
        for shift, mask in laid.masks.items():
            self.busy[shift] |= mask
        for key, start in laid.inside.items():
            self.inside[key] = (placed.visit, start)
        if placed.group is not None:
            row = self.seats[placed.group]
            for step in range(placed.start, placed.end + placed.turnaround):
                row[step - self.low] += 1
        works = self.day.visits[placed.visit].phases
        for work, phase in zip(works, placed.phases, strict=True):
            if work.place is Place.BASIN:
                for step in range(phase.start, phase.end):
                    self.washes[step - self.low] += 1

    def keep_only(self, visits: set[int]) -> None:
        """Take off everything but these visits."""
        kept = [laid for visit, laid in self.laid.items() if visit in visits]
        self.clear()
        for laid in kept:
            self.put(laid)

    def break_placements(self) -> tuple[BreakPlacement, ...] | None:
        """Every break, inside a visit or between duties; None if one has no place."""
        found = []
        for shift, dues in enumerate(self.dues):
            end = self.day.shifts[shift].end
            past = self.busy[shift] & self.mask(end, self.limit[shift])
            if (past >> (end - self.low)).bit_length() < self.over[shift][0]:
                return None  # the overtime that these breaks are for is not worked
            starts = self._rests(shift, 0, {})
            for due in dues:
                if due.key not in starts:
                    return None
                visit = self.inside[due.key][0] if due.key in self.inside else None
                found.append(BreakPlacement(due, starts[due.key], visit))
        return tuple(found)


def _runs(free: int, steps: int) -> int:
    """Bits that begin `steps` set bits on end, by doubling."""
    have = 1
    while have < steps:
        jump = min(have, steps - have)
        free &= free >> jump
        have += jump
    return free
