"""What a running solve reports, and how it is told to stop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class Progress:
    """A better plan of one day was found, or its bound moved."""

    day: date
    tier: str
    value: int
    """What the best plan so far reaches, in the unit of the tier."""
    bound: int
    """No plan can do better than this."""
    gap: float
    """|value - bound| / max(1, |value|)."""
    fraction: float
    """How much of the whole solve is behind us, 0 to 1; it never falls."""


OnProgress = Callable[[Progress], None]
Stop = Callable[[], bool]


def gap(value: int, bound: int) -> float:
    return abs(value - bound) / max(1, abs(value))
