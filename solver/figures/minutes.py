"""Minutes of a week as bits, and as arrays where every minute is looked at."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from schemas.windows import TimeWindow
from solver.figures.weeks import Week

Counts = NDArray[np.int64]


def union(week: Week, windows: Iterable[TimeWindow]) -> int:
    """The minutes of the week that lie in any of the windows."""
    bits = 0
    for window in windows:
        bits |= week.bits(window)
    return bits


def counted(sets: Iterable[int], minutes: int) -> Counts:
    """For each of the first `minutes` minutes, how many of the sets hold it."""
    total = np.zeros(minutes, dtype=np.int64)
    for bits in sets:
        total += as_array(bits, minutes)
    return total


def as_array(bits: int, minutes: int) -> Counts:
    """1 where the minute is in the set, 0 where it is not."""
    packed = np.frombuffer(bits.to_bytes(-(-minutes // 8) + 1, "little"), dtype=np.uint8)
    return np.unpackbits(packed, bitorder="little")[:minutes].astype(np.int64)
