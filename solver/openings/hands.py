"""One pair of hands as bit sets: when it is free, and when its meal break stays possible.

A person has at most one shift in a block of days that hang together (see `blocks`), or else she is
as many pairs of hands as she has shifts there; so all of a visit's work by one pair of hands lies
in one shift. Times in formulas are slots; `s` is the start of the new visit, and a piece `(a, b)`
of its work takes `[s + a, s + b)`.

The break of a shift stays possible if some place `p` of it, of length `m`, is clear of the pieces:
`p + m <= s + a1`, or `s + b_i <= p` and `p + m <= s + a_(i+1)`, or `s + b_n <= p`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from schemas.plan import PlannedBreak
from schemas.resources import StaffMember
from solver.bits import Stretches, moved, runs, span, within
from solver.openings.layouts import Layout, Piece
from solver.openings.meals import ShiftMeals


@dataclass(frozen=True)
class Hands:
    """Bit sets over the whole book of one person's k-th shift in each block."""

    person: StaffMember
    free: int
    """In a shift, and neither at work nor in a break that stays."""
    shifts: tuple[ShiftMeals, ...]
    kept: tuple[PlannedBreak, ...]
    """Her breaks that stay where they are."""
    meal: int
    """Length of the meal break; 0 where no rule asks for one."""
    easy: int
    """Slots of shifts that owe no break."""
    places: int
    """Where the breaks owed can start, other duties regarded."""
    allowed: int
    """Where the breaks owed may start by the rule alone."""
    early: int
    """Slots `t` of a shift that owes a break and has a place for it that ends by `t`."""
    late: int
    """Slots `t` of a shift that owes a break and has a place for it that starts at `t` or later."""
    memo: dict[object, int] = field(default_factory=dict, compare=False)
    leads: dict[Layout, int] = field(default_factory=dict, compare=False)
    """By layout, the starts at which she can lead it."""
    assists: dict[Layout, int] = field(default_factory=dict, compare=False)
    """By layout, the starts at which she can assist in it."""

    @classmethod
    def of(
        cls,
        person: StaffMember,
        shifts: Sequence[ShiftMeals],
        busy: int,
        kept: tuple[PlannedBreak, ...],
    ) -> Hands:
        free = easy = places = allowed = early = late = meal = 0
        for shift in shifts:
            free |= span(shift.start, shift.end)
            meal = max(meal, shift.length)
            if not shift.needed:
                easy |= span(shift.start, shift.end)
                continue
            places |= shift.places
            allowed |= shift.allowed
            if shift.places:
                first = (shift.places & -shift.places).bit_length() - 1
                last = shift.places.bit_length() - 1
                early |= span(first + shift.length, shift.end)
                late |= span(shift.start + 1, last + 1)
        return cls(
            person, free & ~busy, tuple(shifts), kept, meal, easy, places, allowed, early, late
        )

    @cached_property
    def key(self) -> tuple[str, int]:
        """Who she is, and in which of her shifts of a day; stays the same when the book changes."""
        return self.person.id, self.shifts[0].start

    @cached_property
    def booked(self) -> int:
        """Slots of her shifts that are taken, in the whole book."""
        there = sum(shift.end - shift.start for shift in self.shifts)
        return there - self.free.bit_count()

    @cached_property
    def stretches(self) -> Stretches:
        """When she is free."""
        return Stretches.of(self.free)

    def free_for(self, length: int) -> int:
        """The slots from which she is free for `length` slots on end."""
        key = ("free", length)
        if key not in self.memo:
            self.memo[key] = runs(self.free, length)
        return self.memo[key]

    def free_near(self, length: int, nearest: int, farthest: int) -> int:
        """The slots `s` with `length` free slots on end from `[s + nearest, s + farthest]` on."""
        key = ("near", length, nearest, farthest)
        if key not in self.memo:
            self.memo[key] = within(self.free_for(length), nearest, farthest)
        return self.memo[key]

    def works(self, pieces: tuple[Piece, ...]) -> int:
        """The starts at which she is free for all pieces."""
        key = ("works", pieces)
        if key not in self.memo:
            starts = -1
            for a, b in pieces:
                starts &= moved(self.free_for(b - a), -a)
            self.memo[key] = starts
        return self.memo[key]

    def rests(self, pieces: tuple[Piece, ...]) -> int:
        """The starts at which the shift's break stays possible beside the pieces, or is not owed.

        Only for starts that `works(pieces)` allows.
        """
        key = ("rests", pieces)
        if key not in self.memo:
            first, last = pieces[0][0], pieces[-1][1]
            starts = moved(self.easy | self.early, -first) | moved(self.late, -last)
            for (_, b), (a, _) in pairwise(pieces):
                starts |= within(self.places, b, a - self.meal)
            self.memo[key] = starts
        return self.memo[key]

    def rests_inside(self, start: int, end: int) -> int:
        """The starts at which a break is owed and may lie in the piece `[s + start, s + end)`."""
        key = ("inside", start, end)
        if key not in self.memo:
            self.memo[key] = within(self.allowed, start, end - self.meal)
        return self.memo[key]

    def shift_at(self, slot: int) -> ShiftMeals | None:
        """Her shift that holds `slot`."""
        for shift in self.shifts:
            if shift.start <= slot < shift.end:
                return shift
        return None
