"""Techniques as data: what a unit is, how it is laid, and its house figures.

To add a technique, add a line to the table; its rates, its skill tag and its part in take-offs
follow.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from schemas.hair import HairRole


class Layout(StrEnum):
    """How the units of a technique lie on the head."""

    BOXES = "boxes"
    """Squares all over: their number goes with the scalp's area."""
    LANES = "lanes"
    """Side by side from the hairline to the nape."""
    TRACKS = "tracks"
    """One above the other round the back."""


@dataclass(frozen=True)
class Technique:
    """One technique. Minutes of a unit of size large: `start + per_cm * length`."""

    id: str
    name: str
    unit: str
    layout: Layout
    start: float
    """min per unit: parting its box, the grip at the scalp."""
    per_cm: float
    """min per cm of unit."""
    role: HairRole | None
    """Hair it takes where the style names none."""
    takes: tuple[HairRole, ...]
    fill: float = 1.0
    """Hair in a cm of unit: times the size's fill, or grams where not `sized`. 0: none."""
    pieces: int = 1
    """Strands of hair fed into one unit."""
    sized: bool = True
    """Time and hair follow the size."""
    per_box: float = 1.0
    """Units for each box of the size."""
    foundation: float = 0.0
    """min for cornrows underneath."""
    curls: bool = True
    """Curls may be left out."""
    provenance: str = "h"
    texture: str = "kinky"
    """Texture of the hair it takes where the style names none."""


_FILL, _BULK, _WEFT = HairRole.FILL, HairRole.BULK, HairRole.WEFT
_BOXES, _LANES, _TRACKS = Layout.BOXES, Layout.LANES, Layout.TRACKS

TECHNIQUES = (
    # With four to five curls, a large knotless braid of 60 to 75 cm comes to 3 to 4 min.
    Technique(
        "knotless", "Knotless braid", "braid", _BOXES, 1.0, 0.018, _FILL, (_FILL, _BULK),
        pieces=4, provenance="c",
    ),
    Technique(
        "knotted-box", "Knotted box braid", "braid", _BOXES, 0.7, 0.018, _FILL, (_FILL, _BULK),
        pieces=2,
    ),
    Technique(
        "two-strand-twist", "Two-strand twist", "twist", _BOXES, 0.6, 0.011, None, (_FILL, _BULK),
        fill=1.1, pieces=2,
    ),
    Technique(
        "rope-twist", "Rope twist", "twist", _BOXES, 0.7, 0.014, _FILL, (_FILL, _BULK),
        fill=1.1, pieces=2,
    ),
    Technique(
        "cornrow", "Cornrow", "cornrow", _LANES, 6.0, 0.018, None, (_FILL, _BULK),
        fill=2.0, pieces=4,
    ),
    Technique(
        "feed-in", "Feed-in cornrow", "cornrow", _LANES, 8.0, 0.018, _FILL, (_FILL, _BULK),
        fill=3.0, pieces=6,
    ),
    Technique(
        "faux-locs", "Faux loc", "loc", _BOXES, 1.2, 0.055, _FILL, (_FILL, _BULK),
        fill=1.6, pieces=3,
    ),
    Technique(
        "soft-locs", "Soft loc", "loc", _BOXES, 1.2, 0.045, _FILL, (_FILL, _BULK),
        fill=1.8, pieces=3, texture="wavy",
    ),
    Technique(
        "sew-in", "Sew-in", "track", _TRACKS, 8.0, 0.0, _WEFT, (_WEFT,),
        fill=0.4, sized=False, foundation=45, curls=False, texture="straight",
    ),
    Technique(
        "crochet", "Crochet", "loop", _BOXES, 0.35, 0.0, _FILL, (_FILL,),
        fill=0.055, sized=False, per_box=2.0, foundation=45, curls=False, texture="wavy",
    ),
)  # fmt: skip
TECHNIQUE_BY_ID = {technique.id: technique for technique in TECHNIQUES}
