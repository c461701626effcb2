"""The head laid flat: where on the map every box of a parting lies.

The forehead's hairline is at the top, the nape at the bottom, the wearer's left on the left, as the
braider sees it who stands behind the chair. Front, crown, back and nape are zones one below the
other, each as high as its rows ask for; sections lie in their zone side by side, a perimeter rings
them all. Row 1 is at the hairline: at the top of a front, at the bottom of a back. In a brick lay
of equal rows every other row is shifted by a quarter of a box.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil, cos, hypot, pi, sin, sqrt
from typing import NamedTuple

from schemas.style import Lay, Region, Side
from solver.takeoff.parting import LaidSection

CENTRE, HALF_WIDTH = 360.0, 270.0
TOP, BOTTOM = 96.0, 752.0
MIDDLE = (TOP + BOTTOM) / 2
_HALF_HEIGHT = (BOTTOM - TOP) / 2
_FULLNESS = 2.4
"""Exponent of the outline: 2 is an ellipse, more is fuller."""
_RING = 46.0
"""Depth of a perimeter's ring, in px."""
_GAP = 5.0
"""Half the room between zones, and between sections side by side, in px."""
_EDGE, _INSET = 14.0, 8.0
"""Room between the outline and the rows, above and beside, in px."""
_WIDTH_FOR_HEIGHT, _ROUNDS = 0.8, 3
"""How far a row makes up in height for what it lacks in width: 1 keeps its area; rounds of fit."""
_STROKE = 16.0
"""Longest straight piece of a curved edge, in px."""

_ZONES: tuple[frozenset[Region], ...] = (
    frozenset({Region.FRONT, Region.TEMPLE}),
    frozenset({Region.CROWN}),
    frozenset({Region.BACK}),
    frozenset({Region.NAPE}),
)
_FROM_THE_BOTTOM = (Region.BACK, Region.NAPE)

Point = tuple[float, float]


class Box(NamedTuple):
    """One box on the map: its corners in order, and where its braid grows."""

    corners: tuple[Point, ...]
    root: Point
    """Where its braid grows: the middle of its width at half its height."""
    label: Point
    """Where a row's number stands, if this is its first box."""

    @property
    def room(self) -> float:
        """Radius of the circle about `root` that touches the nearest side, in px."""
        return min(_distance(self.root, side) for side in _sides(self.corners))


class _Band(NamedTuple):
    """A section's part of the head, between two heights, between two shares of the width."""

    top: float
    bottom: float
    left: float
    right: float
    inset: float
    """Depth of the ring outside it, in px."""

    def x(self, share: float, y: float) -> float:
        """The abscissa at `share` (0 left, 1 right) of the band at height `y`."""
        half = _half_width(y, self.inset)
        across = self.left + (self.right - self.left) * share
        inner = half * (2 * across - 1)
        return CENTRE + inner + (_GAP * (1 - 2 * share) if self.right - self.left < 1 else 0.0)


def boxes_of(laid: Sequence[LaidSection]) -> dict[str, tuple[tuple[Box, ...], ...]]:
    """Every section's rows of boxes, hairline first, by the section's name."""
    rings = sum(part.region is Region.PERIMETER for part in laid)
    return {
        section.name: tuple(
            _band_rows(section, band) if band is not None else _ring_rows(section, rings)
        )
        for section, band in _bands(laid)
    }


def _half_width(y: float, inset: float) -> float:
    """Half the head's width at height `y`: an ellipse, a little fuller than round."""
    along = min(1.0, abs(y - MIDDLE) / (_HALF_HEIGHT - inset))
    return (HALF_WIDTH - inset) * sqrt(1 - along**_FULLNESS)


def _bands(laid: Sequence[LaidSection]) -> Iterator[tuple[LaidSection, _Band | None]]:
    """Where each section goes: zones by height, sections of a zone side by side; None: a ring."""
    ring = _RING if any(part.region is Region.PERIMETER for part in laid) else 0.0
    zones = [[part for part in laid if part.region in regions] for regions in _ZONES]
    heights = [max((_rows_asked(part) for part in zone), default=0.0) for zone in zones]
    room = BOTTOM - TOP - 2 * (ring + _EDGE)
    y = TOP + ring + _EDGE
    for zone, height in zip(zones, heights, strict=True):
        if not zone:
            continue
        bottom = y + room * height / sum(heights)
        yield from _side_by_side(zone, y + _GAP, bottom - _GAP, ring + _INSET)
        y = bottom
    for part in laid:
        if part.region is Region.PERIMETER:
            yield part, None


def _rows_asked(section: LaidSection) -> float:
    """Height a section asks for: its rows, a row of few wide boxes no less than a row of many."""
    return max(2.0, float(len(section.rows)))


def _side_by_side(
    zone: Sequence[LaidSection], top: float, bottom: float, inset: float
) -> Iterator[tuple[LaidSection, _Band]]:
    ordered = sorted(zone, key=_from_left)
    widths = [max(part.rows) for part in ordered]
    left = 0.0
    for part, width in zip(ordered, widths, strict=True):
        right = left + width / sum(widths)
        yield part, _Band(top, bottom, left, min(1.0, right), inset)
        left = right


def _from_left(section: LaidSection) -> tuple[int, int]:
    """Sides from left to right; temples lie outside the front."""
    side = {Side.LEFT: -1, Side.BOTH: 0, Side.RIGHT: 1}[section.side]
    outward = 1 if section.region is Region.TEMPLE else 0
    return side, side * outward


def _band_rows(section: LaidSection, band: _Band) -> Iterator[tuple[Box, ...]]:
    rows = len(section.rows)
    levels = _levels(rows, band)
    from_bottom = section.region in _FROM_THE_BOTTOM
    for index, count in enumerate(section.rows):
        place = rows - 1 - index if from_bottom else index
        heights = levels[place], levels[place + 1]
        edges = _edges(section, index, count)
        yield tuple(_band_box(band, heights, left, right) for left, right in pairwise(edges))


def _levels(rows: int, band: _Band) -> list[float]:
    """Heights at which the rows of a band begin, and where the last ends.

    A row towards the forehead or the nape has less width, and is given more height instead, so that
    its boxes are not squeezed.
    """
    room, weights = band.bottom - band.top, [1.0] * rows
    for _ in range(_ROUNDS):
        whole, y, narrow = sum(weights), band.top, []
        for weight in weights:
            height = room * weight / whole
            narrow.append(_half_width(y + height / 2, band.inset) ** -_WIDTH_FOR_HEIGHT)
            y += height
        weights = narrow
    levels, whole = [band.top], sum(weights)
    for weight in weights:
        levels.append(levels[-1] + room * weight / whole)
    levels[-1] = band.bottom
    return levels


def _edges(section: LaidSection, index: int, count: int) -> list[float]:
    """Shares of the width at which the boxes of a row begin and end."""
    shift = 0.0
    before = section.rows[index - 1] if index else 0
    if section.lay is Lay.BRICK and count == before and count > 1:
        run = 0
        while run < index and section.rows[index - 1 - run] == count:
            run += 1
        shift = 0.25 / count * (1 if run % 2 else 0)
    mirrored = section.side is Side.RIGHT
    inner = [edge / count + (-shift if mirrored else shift) for edge in range(1, count)]
    return [0.0, *inner, 1.0]


def _band_box(band: _Band, heights: tuple[float, float], left: float, right: float) -> Box:
    top, bottom = heights
    steps = ceil((bottom - top) / _STROKE)
    levels = [top + (bottom - top) * step / steps for step in range(steps + 1)]
    down = [(band.x(right, y), y) for y in levels]
    up = [(band.x(left, y), y) for y in reversed(levels)]
    beside = max(band.x(left, top), band.x(left, min(bottom, top + 13)))
    middle = (top + bottom) / 2
    root = ((band.x(left, middle) + band.x(right, middle)) / 2, middle)
    return Box((*down, *up), root, (beside + 5, top + 13))


def _ring_rows(section: LaidSection, rings: int) -> Iterator[tuple[Box, ...]]:
    """A perimeter's rows, each a ring of boxes, clockwise from the middle of the forehead."""
    depth = _RING / len(section.rows) / rings
    for index, count in enumerate(section.rows):
        outer, inner = index * depth, (index + 1) * depth
        boxes = []
        for place in range(count):
            angles = [2 * pi * (place + part / 4) / count - pi / 2 for part in range(5)]
            rim = [on_outline(outer, angle) for angle in angles]
            rim += [on_outline(inner, angle) for angle in reversed(angles)]
            x, y = on_outline(outer, angles[0])
            root = on_outline((outer + inner) / 2, angles[2])
            boxes.append(Box(tuple(rim), root, (x + 5, y + 15)))
        yield tuple(boxes)


def on_outline(inset: float, angle: float) -> Point:
    """A point `inset` px inside the head's outline; angles run clockwise from the right ear."""
    across, along = cos(angle), sin(angle)
    y = abs(along) ** (2 / _FULLNESS) * (1 if along >= 0 else -1)
    return CENTRE + (HALF_WIDTH - inset) * across, MIDDLE + (_HALF_HEIGHT - inset) * y


def _distance(point: Point, side: tuple[Point, Point]) -> float:
    """From a point to the nearest point of a side."""
    (x, y), ((u, v), (s, t)) = point, side
    length = hypot(s - u, t - v)
    along = ((x - u) * (s - u) + (y - v) * (t - v)) / length**2 if length else 0.0
    share = min(1.0, max(0.0, along))
    return hypot(x - u - share * (s - u), y - v - share * (t - v))


def _sides(corners: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    return zip(corners, (*corners[1:], corners[0]), strict=True)
