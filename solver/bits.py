"""Sets of time slots as whole numbers: bit `i` stands for slot `i`.

A Python integer of some thousand bits is ANDed, ORed and shifted in a tenth of a microsecond, so a
question about every slot of four weeks costs a handful of such steps. Slots are half-open: `span(a,
b)` holds `a` and not `b`.
"""

from __future__ import annotations

from collections.abc import Iterator


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
