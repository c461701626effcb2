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
    numerator: Text
    denominator: Text | None = None
    unit: Text
    source: Text | None = None


class ChairMinutes(Document):
    """Minutes of one chair. `occupied = hands_on + waiting + turnaround`."""

    open: MinuteSum
    hands_on: MinuteSum
    waiting: MinuteSum
    turnaround: MinuteSum
    occupied: MinuteSum
    utilisation: float | None
    """occupied / open; none where the chair was not open."""


class ChairDay(Document):
    date: date
    minutes: ChairMinutes


class ChairHour(Document):
    """One hour of the local clock on one day, all chairs."""

    date: date
    hour: Annotated[int, Field(ge=0, le=23)]
    minutes: ChairMinutes


class ChairWeek(Document):
    chair: Identifier
    name: Text
    total: ChairMinutes
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
    short: float
    packs_to_order: Annotated[int, Field(ge=0)]
    order_by: Day | None
    visits: tuple[Identifier, ...]


class HairDemandTotal(Document):
    """One material over all days: the sums of its lines, and the first date to order by."""

    material: Identifier
    needed: float
    brought_by_clients: float
    tentative: float
    short: float
    packs_to_order: Annotated[int, Field(ge=0)]
    order_by: date | None


class HairDemand(Document):
    """Hair demand per day and material."""

    first_day: date
    last_day: date
    zone: Zone
    definitions: tuple[Definition, ...]
    stock_as_of: date | None = None
    """The stock is what lay on the shelf at the start of this day."""
    lines: tuple[HairDemandLine, ...]
    totals: tuple[HairDemandTotal, ...] = ()
