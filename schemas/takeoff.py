"""Take-off: what is asked, and the quantities that come back."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.hair import HairQuantity, HairSubstitute, Material, StockLine
from schemas.style import Style
from schemas.units import (
    Count,
    Currency,
    Grams,
    HelpRate,
    Identifier,
    MinorUnits,
    Minutes,
    Number,
    Pace,
    Text,
    Timestamp,
)
from schemas.work import PhaseWork


class Provenance(StrEnum):
    """Where a rate comes from."""

    HOUSE = "house"
    LEARNED = "learned"
    PUBLISHED = "published"
    COMMON_PRACTICE = "common-practice"


def require_source(provenance: Provenance, source: str | None) -> None:
    """Raises ValueError unless a published figure, and no other, names its source."""
    if (provenance is Provenance.PUBLISHED) != (source is not None):
        raise ValueError("a published rate names its source, and no other rate does")


class Rate(Document):
    """One figure that take-offs reckon with."""

    code: Identifier
    sentence: Text
    unit: Text
    value: float
    low: float
    high: float
    """The plausible range, both ends included; an override outside it is refused."""
    provenance: Provenance
    source: Text | None = None
    """The text it was published in."""
    note: Text | None = None
    """What the salon wants remembered about its own figure."""

    @model_validator(mode="after")
    def _in_its_range_and_sourced(self) -> Self:
        if not self.low <= self.value <= self.high:
            raise ValueError(
                f"{self.code}: {self.value:g} is outside {self.low:g} to {self.high:g}"
            )
        require_source(self.provenance, self.source)
        return self


class RateOverride(Document):
    """A rate the salon sets itself, by its code; unit and range stay the rate's own."""

    code: Identifier
    value: Annotated[float, Field(ge=0, le=100_000), Number]
    provenance: Provenance = Provenance.HOUSE
    source: Text | None = None
    note: Text | None = None

    @model_validator(mode="after")
    def _sourced(self) -> Self:
        require_source(self.provenance, self.source)
        return self


class Helper(Document):
    """An assistant to be reckoned with."""

    name: Text
    help_rate: HelpRate = 0.5


class TakeOffRequest(Document):
    """A style to be turned into quantities."""

    style: Style
    pace: Pace = 1.0
    """Pace of the lead, for `minutes`, `phase_minutes`, `crews` and `lines`. It does not touch
    `phases`, which a planner multiplies by the pace of whoever performs them."""
    pace_provenance: Provenance = Provenance.HOUSE
    """Where the pace comes from."""
    helpers: Annotated[tuple[Helper, ...], Field(max_length=3)] = ()
    """Empty reckons with up to three assistants of the house's help rate; with names, every crew
    of them is in the table."""
    start: Timestamp | None = None
    """When the visit would begin; with it each crew has its finish."""
    percentile: Annotated[int, Field(ge=50, le=99), Number] = 80
    """The odds the desk books at."""
    rates: Annotated[tuple[RateOverride, ...], Field(max_length=200)] = ()
    materials: Annotated[tuple[Material, ...], Field(max_length=100)] = ()
    """Materials the style's hair names; the house's plain ones are known already."""
    stock: Annotated[tuple[StockLine, ...], Field(max_length=500)] = ()
    """The shelf. A material listed here and short of what is needed draws substitutes."""


class RowCount(Document):
    """Braids and curls of one row, and the minutes they take."""

    section: Identifier
    row: Annotated[int, Field(ge=1)]
    braids: Count
    curls: Annotated[int, Field(ge=0)]
    curls_per_braid: Annotated[float, Field(ge=0)]
    """`curls / braids`; a fraction where some braids of the row carry one more."""
    minutes: Annotated[float, Field(ge=0)]
    """Parting, braids, curls and tie-off at house pace, before `child` and pace lines."""


class PhaseMinutes(Document):
    """Minutes of one phase with its odds, for the lead alone at the pace asked."""

    kind: Identifier
    mean: float
    cv: float
    """Coefficient of variation: standard deviation over mean."""
    p50: float
    p80: float
    p95: float


class VisitMinutes(Document):
    """Minutes of the whole visit with its odds, for the lead alone, and what the desk books."""

    mean: float
    cv: float
    p50: float
    p80: float
    p95: float
    percentile: int
    booked: Minutes
    """Minutes at `percentile`, rounded up to five."""


class CrewMinutes(Document):
    """The length of the visit with so many pairs of hands."""

    crew: Text
    assistants: int
    mean: float
    cv: float
    """Coefficient of variation; help beside the lead varies too, by the rate `cv-help`."""
    p50: float
    p80: float
    p95: float
    booked: Minutes
    """The visit's minutes from start to finish at the percentile, rounded up to five."""
    saved: Minutes
    """Against the lead alone."""
    saved_by_last: Minutes
    """What the last assistant named saves, against the same crew without her."""
    finish: datetime | None = None
    """When she is done, where the start was stated."""


class Caution(Document):
    """A word of care and the figure behind it. General information, not medical advice."""

    code: Identifier
    sentence: Annotated[str, Field(max_length=400)]
    figure: float | None = None
    unit: Text | None = None


class TakeOffLine(Document):
    """One line of the reckoning: `quantity * rate = amount`."""

    phase: Identifier
    """The phase, or the hair's role, that the amount belongs to."""
    section: Identifier
    """The section of the head or the material; the phase once more where neither applies."""
    label: Text
    quantity: float
    rate: float
    unit: Text
    """Unit of the rate."""
    amount: float
    rate_code: Identifier | None
    """The rate to override; none where the rate is worked out from several."""
    provenance: Provenance
    worked: Annotated[str, Field(max_length=300)] | None = None
    """How a rate without a code of its own comes about, with the codes of those behind it."""


class HairPrice(Document):
    """What the hair of a visit costs the salon in one currency."""

    currency: Currency
    price: MinorUnits


class PaceEstimate(Document):
    """A learned pace of one lead in one technique."""

    lead: Identifier
    technique: Identifier | None
    """None for all her techniques taken together."""
    pace: Pace
    """Middle of the belief: half chance above, half below."""
    low: Pace
    high: Pace
    """The 90 % interval for her pace."""
    visits: Annotated[int, Field(ge=0)]
    """Finished visits behind it."""
    set_aside: Annotated[int, Field(ge=0)]
    """Visits so far from the rest that they were weighed down to less than half."""
    provenance: Provenance = Provenance.LEARNED


class TakeOff(Document):
    """The quantities a style implies."""

    style: Text
    technique: Identifier
    braids: Count
    curls: Annotated[int, Field(ge=0)]
    rows: tuple[RowCount, ...]
    phases: tuple[PhaseWork, ...]
    """The work, ready for a day book: minutes at the percentile booked, of pace 1."""
    pace: Pace = 1.0
    """Pace of the lead that everything but `phases` is reckoned with."""
    pace_estimate: PaceEstimate | None = None
    """What a learned pace rests on."""
    minutes: VisitMinutes
    phase_minutes: tuple[PhaseMinutes, ...]
    crews: tuple[CrewMinutes, ...]
    hair: tuple[HairQuantity, ...]
    hair_grams: Grams
    hair_prices: tuple[HairPrice, ...]
    """Whole packs the salon provides, one line for each currency."""
    substitutes: tuple[HairSubstitute, ...] = ()
    cautions: tuple[Caution, ...]
    lines: tuple[TakeOffLine, ...] = ()
    """Minutes, line by line; they add up to `minutes.mean` exactly (as a sum rounded once).
    The service sends them where an explanation is asked for."""
    hair_lines: tuple[TakeOffLine, ...] = ()
    """Grams, line by line; they add up to `hair_grams` exactly (as a sum rounded once).
    The service sends them where an explanation is asked for."""
    reckoning: tuple[Annotated[str, Field(max_length=400)], ...] = ()
    """The other figures in sentences: braids, minutes booked, crews, packs and money."""


class FinishedVisit(Document):
    """A visit that is over: what the house reckoned and what it took."""

    lead: Identifier
    technique: Identifier
    reckoned: Annotated[float, Field(gt=0, le=20_160), Number]
    """Middle minutes (P50) of the braiding at house pace: half of all visits take longer."""
    took: Annotated[float, Field(gt=0, le=20_160), Number]
    """Minutes of the lead's work it took, breaks off and help counted at its rate."""
