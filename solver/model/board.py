"""A day under construction, fast to ask: who is free when, as bits over the steps of the grid.

Bit `i` of a mask stands for step `low + i`. Hard and soft rules are all kept here, so what is laid
on the board is a plan without a finding, preferences apart.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from schemas.work import Place
from solver.model.constraints import ALLOWS
from solver.model.constraints.meal_break import asked, meal_window
from solver.model.constraints.turnaround import steps_of
from solver.model.facts import Day, number
from solver.model.placement import MealPlacement, VisitPlacement


@dataclass
class Laid:
    """A visit laid on the board, not yet put down."""

    placement: VisitPlacement
    masks: dict[int, int]
    inside: dict[int, int]
    """Meal breaks inside, by shift: their start."""


@dataclass
class Board:
    """The day and what has been put down on it so far."""

    day: Day
    busy: list[int] = field(default_factory=list)
    laid: dict[int, Laid] = field(default_factory=dict)
    inside: dict[int, tuple[int, int]] = field(default_factory=dict)
    """By shift: the visit its break lies in, and the start of the break."""
    seats: list[list[int]] = field(default_factory=list)
    """By chair group: clients (and turnarounds) at each step."""
    washes: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        day = self.day
        low, high = day.horizon
        self.low = min([low, *(shift.start for shift in day.shifts)])
        self.width = max([high, *(shift.end for shift in day.shifts)]) - self.low
        meal = day.setting("meal-break")
        self.meal_inside = meal is not None and number(meal, "inside", 1) == 1
        self.meals: dict[int, tuple[int, int, int]] = {}
        for shift in day.shifts:
            if meal is not None and asked(meal, shift):
                size, first, last = meal_window(day, meal, shift)
                if first <= last:
                    self.meals[shift.index] = size, first, last
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
        self.busy = [~self.mask(shift.start, shift.end) for shift in self.day.shifts]
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

    def can_eat(self, shift: int, own: dict[int, int], inside: dict[int, int]) -> bool:
        """Whether the break of a shift still has a place between duties, or lies inside one."""
        if shift not in self.meals or shift in self.inside or shift in inside:
            return True
        return self.meal_start(shift, own.get(shift, 0)) is not None

    def meal_start(self, shift: int, own: int = 0) -> int | None:
        """The earliest start of a break between the duties of a shift."""
        size, first, last = self.meals[shift]
        free = _runs(~(self.busy[shift] | own), size) & self.mask(first, last + 1)
        return self.low + (free & -free).bit_length() - 1 if free else None

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
        for shift, start in laid.inside.items():
            self.inside[shift] = (placed.visit, start)
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

    def meal_placements(self) -> tuple[MealPlacement, ...]:
        """Every break: inside where it was laid so, else at the earliest free place."""
        found = []
        for shift, (size, _, _) in self.meals.items():
            if shift in self.inside:
                visit, start = self.inside[shift]
                found.append(MealPlacement(shift, start, start + size, visit))
                continue
            free = self.meal_start(shift)
            if free is not None:
                found.append(MealPlacement(shift, free, free + size))
        return tuple(found)


def _runs(free: int, steps: int) -> int:
    """Bits that begin `steps` set bits on end, by doubling."""
    have = 1
    while have < steps:
        jump = min(have, steps - have)
        free &= free >> jump
        have += jump
    return free
