"""Size classes: box width, time and fill hair, and how many boxes a head holds.

A size is named by its box width in cm; the word is a shorthand. Between two classes the time and
the fill are interpolated along the width, beyond the last ones they stay as they are.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple, Protocol


@dataclass(frozen=True)
class Size:
    """One size class; all three are house figures."""

    name: str
    box_cm: float
    """Width of a square box."""
    time: float
    """Minutes of one braid against a large one."""
    fill: float
    """Grams of fill hair in a cm of braid."""


SIZES = (
    Size("micro", 1.5, 0.70, 0.026),
    Size("extra-small", 1.9, 0.75, 0.037),
    Size("small", 2.3, 0.85, 0.050),
    Size("medium", 2.9, 0.95, 0.071),
    Size("large", 3.9, 1.00, 0.120),
    Size("jumbo", 5.5, 1.15, 0.200),
)
SIZE_NAMES = tuple(size.name for size in SIZES)
MEASURED_AROUND_CM = 56.0
"""Circumference of the head that the scalp's area and the room for lanes belong to, in cm."""


class Figures(Protocol):
    """Rates by code."""

    def __getitem__(self, code: str) -> float: ...


class SizeFigures(NamedTuple):
    """What a size stands for in one salon."""

    box_cm: float
    time: float
    fill: float
    """g per cm of braid."""


def size_figures(name: str, box_width_cm: float | None, rates: Figures) -> SizeFigures:
    """The figures of a named class, or of a measured box width in cm."""
    if box_width_cm is None:
        return SizeFigures(rates[f"box-{name}"], rates[f"time-{name}"], rates[f"fill-{name}"])
    classes = sorted(
        SizeFigures(rates[f"box-{size}"], rates[f"time-{size}"], rates[f"fill-{size}"])
        for size in SIZE_NAMES
    )
    if box_width_cm <= classes[0].box_cm:
        return SizeFigures(box_width_cm, classes[0].time, classes[0].fill)
    for below, above in pairwise(classes):
        if box_width_cm <= above.box_cm:
            share = (box_width_cm - below.box_cm) / (above.box_cm - below.box_cm)
            return SizeFigures(
                box_width_cm,
                below.time + share * (above.time - below.time),
                below.fill + share * (above.fill - below.fill),
            )
    return SizeFigures(box_width_cm, classes[-1].time, classes[-1].fill)


def boxes_on_head(box_cm: float, around_cm: float, scalp_cm2: float) -> float:
    """Square boxes of `box_cm` on a head `around_cm` round; the area grows with its square."""
    return scalp_cm2 * (around_cm / MEASURED_AROUND_CM) ** 2 / box_cm**2


def lanes_on_head(box_cm: float, around_cm: float, room_cm: float) -> float:
    """Lanes of `box_cm` side by side on a head `around_cm` round."""
    return room_cm * around_cm / MEASURED_AROUND_CM / box_cm
