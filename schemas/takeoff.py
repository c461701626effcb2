"""Take-off: what is asked, and the quantities that come back."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import Field

from schemas.base import Document
from schemas.hair import HairQuantity, Material
from schemas.style import Style
from schemas.units import Count, Grams, HelpRate, Identifier, Minutes, Number, Pace, Text
from schemas.work import PhaseWork


class Provenance(StrEnum):
    """Where a rate comes from."""

    HOUSE = "house"
    LEARNED = "learned"
    PUBLISHED = "published"
    COMMON_PRACTICE = "common-practice"


class RateOverride(Document):
    """A rate the salon sets itself, by its code; unit and range stay the rate's own."""

    code: Identifier
    value: Annotated[float, Number, Field(ge=0, le=100_000)]


class Helper(Document):
    """An assistant to be reckoned with."""

    name: Text
    help_rate: HelpRate = 0.5


class TakeOffRequest(Document):
    """A style to be turned into quantities."""

    style: Style
    pace: Pace = 1.0
    """Pace of the lead."""
    helpers: Annotated[tuple[Helper, ...], Field(max_length=3)] = ()
    percentile: Annotated[int, Number, Field(ge=50, le=99)] = 80
    """The odds the desk books at."""
    rates: Annotated[tuple[RateOverride, ...], Field(max_length=200)] = ()
    materials: Annotated[tuple[Material, ...], Field(max_length=100)] = ()
    """Materials the style's hair names; the house's plain ones are known already."""


class RowCount(Document):
    """Braids and curls of one row."""

    section: Identifier
    row: Annotated[int, Field(ge=1)]
    braids: Count
    curls_per_braid: Annotated[int, Field(ge=0)]


class PhaseMinutes(Document):
    """Minutes of one phase with its odds, for the lead alone."""

    kind: Identifier
    mean: float
    p50: float
    p80: float
    p95: float


class VisitMinutes(Document):
    """Minutes of the whole visit with its odds, and what the desk books."""

    mean: float
    p50: float
    p80: float
    p95: float
    percentile: int
    booked: Minutes
    """Minutes at `percentile`, on the grid."""


class CrewMinutes(Document):
    """The length of the visit with so many pairs of hands."""

    crew: Text
    assistants: int
    booked: Minutes
    saved: Minutes


class Caution(Document):
    """A word of care and the figure behind it. General information, not medical advice."""

    code: Identifier
    sentence: Annotated[str, Field(max_length=400)]
    figure: float | None = None
    unit: Text | None = None


class TakeOffLine(Document):
    """One line of the reckoning: `quantity * rate = amount`."""

    section: Identifier
    label: Text
    quantity: float
    rate: float
    unit: Text
    amount: float
    provenance: Provenance


class TakeOff(Document):
    """The quantities a style implies."""

    style: Text
    braids: Count
    curls: Annotated[int, Field(ge=0)]
    rows: tuple[RowCount, ...]
    phases: tuple[PhaseWork, ...]
    """The work, ready for a day book: minutes at the percentile booked, of pace 1."""
    minutes: VisitMinutes
    phase_minutes: tuple[PhaseMinutes, ...]
    crews: tuple[CrewMinutes, ...]
    hair: tuple[HairQuantity, ...]
    hair_grams: Grams
    cautions: tuple[Caution, ...]
    lines: tuple[TakeOffLine, ...]
    """Minutes, line by line; they add up to `minutes.mean`."""
