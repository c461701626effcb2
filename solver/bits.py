"""Sets of time slots as whole numbers: bit `i` stands for slot `i`.

A Python integer of some thousand bits is ANDed, ORed and shifted in a tenth of a microsecond, so a
question about every slot of four weeks costs a handful of such steps. Slots are half-open: `span(a,
b)` holds `a` and not `b`.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass


def span(start: int, end: int) -> int:
    """The slots `[start, end)`; what lies before slot 0 is left out, an empty span is 0."""
    start = max(start, 0)
    return ((1 << (end - start)) - 1) << start if end > start else 0


def moved(bits: int, by: int) -> int:
    """Every slot later by `by` (earlier where negative); what falls before slot 0 is lost."""
    return bits << by if by >= 0 else bits >> -by


def runs(free: int, length: int) -> int:
    """The slots from which `length` successive slots are all in `free`.

    By doubling: two runs of `n` that abut are a run of `2n`, so `log2(length)` shifts do.
    """
    done = 1
    while done < length and free:
        step = min(done, length - done)
        free &= free >> step
        done += step
    return free


def within(targets: int, nearest: int, farthest: int) -> int:
    """The slots `s` for which some slot of `[s + nearest, s + farthest]` is in `targets`."""
    if farthest < nearest or not targets:
        return 0
    length, done = farthest - nearest + 1, 1
    while done < length:
        step = min(done, length - done)
        targets |= targets << step
        done += step
    return moved(targets, -farthest)


def slots(bits: int) -> Iterator[int]:
    """The slots in `bits`, ascending."""
    while bits:
        low = bits & -bits
        yield low.bit_length() - 1
        bits ^= low


def first_at_or_after(bits: int, slot: int) -> int | None:
    """The first slot of `bits` at or after `slot`."""
    later = bits >> slot
    return None if not later else slot + (later & -later).bit_length() - 1


def last_before(bits: int, slot: int) -> int | None:
    """The last slot of `bits` before `slot`."""
    earlier = bits & span(0, slot)
    return None if not earlier else earlier.bit_length() - 1


@dataclass(frozen=True)
class Stretches:
    """A set as stretches `[start, end)` in order, no two of which touch."""

    starts: tuple[int, ...]
    ends: tuple[int, ...]

    @classmethod
    def of(cls, bits: int) -> Stretches:
        """Of a finite set.

        >>> Stretches.of(0b1011100)
        Stretches(starts=(2, 6), ends=(5, 7))
        """
        starts, ends, at = [], [], 0
        while bits:
            gap = (bits & -bits).bit_length() - 1
            bits >>= gap
            filled = (~bits & (bits + 1)).bit_length() - 1
            bits >>= filled
            starts.append(at + gap)
            at += gap + filled
            ends.append(at)
        return cls(tuple(starts), tuple(ends))

    def around(self, start: int, end: int) -> tuple[int, int] | None:
        """How much of the set lies just before and just after `[start, end)`, all of it in the set.

        None where it is not. Asks the stretches only, not the set: `O(log n)`.
        """
        at = bisect_right(self.starts, start) - 1
        if at < 0 or end > self.ends[at]:
            return None
        return start - self.starts[at], self.ends[at] - end
