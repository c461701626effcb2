"""Figures: utilisation and hair demand, each with its definition in the payload."""

from __future__ import annotations

from datetime import date
from typing import Annotated, TypeAlias

from pydantic import Field

from schemas.base import Document
from schemas.units import Identifier, Text, Zone

Day: TypeAlias = date
"""For documents that have a field named `date`."""
MinuteSum = Annotated[int, Field(ge=0)]


class Definition(Document):
    """What a figure means."""

    figure: Identifier
    numerator: Annotated[str, Field(min_length=1, max_length=400)]
    denominator: Text | None = None
    unit: Text
    source: Text | None = None


class ChairMinutes(Document):
    """Minutes of one chair as planned. `occupied = hands_on + waiting + turnaround`."""

    open: MinuteSum
    closed: MinuteSum = 0
    hands_on: MinuteSum
    waiting: MinuteSum
    turnaround: MinuteSum
    occupied: MinuteSum
    utilisation: float | None
    """occupied / open; none where the chair was not open."""


class ActualMinutes(Document):
    """The same minutes as they came about. `occupied = present + turnaround`.

    Visits that were clocked count from their start to their finish by the clock; the others as they
    are planned.
    """

    present: MinuteSum
    turnaround: MinuteSum
    occupied: MinuteSum
    utilisation: float | None
    """occupied / open; none where the chair was not open."""


class ChairDay(Document):
    date: date
    minutes: ChairMinutes
    actual: ActualMinutes


class ChairHour(Document):
    """One hour of the local clock on one day, all chairs."""

    date: date
    hour: Annotated[int, Field(ge=0, le=23)]
    minutes: ChairMinutes
    actual: ActualMinutes


class ChairWeek(Document):
    chair: Identifier
    name: Text
    total: ChairMinutes
    actual: ActualMinutes
    days: tuple[ChairDay, ...]


class ChairUtilisation(Document):
    """Chair utilisation of one ISO week."""

    week: Annotated[str, Field(pattern=r"^\d{4}-W\d{2}$")]
    first_day: date
    last_day: date
    zone: Zone
    definitions: tuple[Definition, ...]
    chairs: tuple[ChairWeek, ...]
    hours: tuple[ChairHour, ...]
    total: ChairMinutes
    actual: ActualMinutes
    placed: Annotated[int, Field(ge=0)]
    """Visits on the chairs in this week."""
    clocked: Annotated[int, Field(ge=0)]
    """Those of them whose start and finish were clocked."""


class HairDemandLine(Document):
    """Hair of one material on one day, in grams unless it says otherwise."""

    date: date
    material: Identifier
    needed: float
    brought_by_clients: float
    """Part of `needed` that clients bring."""
    tentative: Annotated[float, Field(ge=0)] = 0.0
    """Asked for by TENTATIVE bookings of that day: shown, and counted in no other figure."""
    available: float
    """On the shelf at the start of the day: stock, earlier demand off, arrivals on; 0 or more."""
    under_way: Annotated[float, Field(ge=0)] = 0.0
    """On order, and not here by the start of the day."""
    short: float
    packs_to_order: Annotated[int, Field(ge=0)]
    order_by: Day | None
    margin: Annotated[float, Field(ge=0)] = 0.0
    """What the salon's own need of the day may take beyond `needed`, at the percentile."""
    packs_with_margin: Annotated[int, Field(ge=0)] = 0
    """Packs to order where the margin is to be covered too."""
    order_by_with_margin: Day | None = None
    visits: tuple[Identifier, ...]


class HairDemandTotal(Document):
    """One material over all days: the sums of its lines, and the first date to order by."""

    material: Identifier
    needed: float
    brought_by_clients: float
    tentative: float
    on_hand: Annotated[float, Field(ge=0)] = 0.0
    """On the shelf at the start of the day of the stock."""
    on_order: Annotated[float, Field(ge=0)] = 0.0
    """All that is under way, whenever it comes."""
    short: float
    packs_to_order: Annotated[int, Field(ge=0)]
    order_by: date | None
    margin: Annotated[float, Field(ge=0)] = 0.0
    packs_with_margin: Annotated[int, Field(ge=0)] = 0
    order_by_with_margin: date | None = None


class HairDemand(Document):
    """Hair demand per day and material."""

    first_day: date
    last_day: date
    zone: Zone
    definitions: tuple[Definition, ...]
    stock_as_of: date | None = None
    """The stock is what lay on the shelf at the start of this day."""
    percentile: Annotated[int, Field(ge=50, le=99)] = 95
    """The odds that need and margin together cover."""
    lines: tuple[HairDemandLine, ...]
    totals: tuple[HairDemandTotal, ...] = ()
