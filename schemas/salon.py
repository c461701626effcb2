"""The salon itself: where it is, when it is open, and the raster of its time."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, StringConstraints, model_validator

from schemas.base import Document
from schemas.daybook import Grid
from schemas.ranking import RankingWeights
from schemas.resources import Basin, ChairClosure
from schemas.units import Currency, Day, Identifier, Number, Text, Zone

LocalTime = Annotated[
    str, StringConstraints(pattern=r"^(([01][0-9]|2[0-3]):[0-5][0-9]|24:00)$", max_length=5)
]
"""A reading of the salon's clock, `HH:MM`; `24:00` is the end of the day."""
Weekday = Annotated[int, Field(ge=1, le=7), Number]
"""ISO 8601: 1 is Monday, 7 is Sunday."""


def minute_of_day(reading: str) -> int:
    """Minutes of the wall clock after midnight."""
    hours, minutes = reading.split(":")
    return int(hours) * 60 + int(minutes)


class Hours(Document):
    """From when to when, by the salon's clock, within one day."""

    opens: LocalTime
    closes: LocalTime

    @model_validator(mode="after")
    def _closes_after_it_opens(self) -> Self:
        if minute_of_day(self.closes) <= minute_of_day(self.opens):
            raise ValueError("closes must be later than opens")
        return self


class OpeningHours(Hours):
    """The hours of one day of the week."""

    weekday: Weekday


class SpecialDay(Document):
    """A date that does not follow the week: closed where it states no hours."""

    date: Day
    hours: Hours | None = None


class Salon(Document):
    """One salon. A day of the week without hours is a day it is closed."""

    name: Text
    zone: Zone
    currency: Currency
    hours: Annotated[tuple[OpeningHours, ...], Field(max_length=7)]
    special_days: Annotated[tuple[SpecialDay, ...], Field(max_length=366)] = ()
    grid: Grid = Grid()
    basins: Annotated[tuple[Basin, ...], Field(max_length=20)] = ()
    ranking: RankingWeights = RankingWeights()
    """What counts when places for a request are ranked."""

    @model_validator(mode="after")
    def _each_day_once_and_on_the_grid(self) -> Self:
        named = {
            "hours": [str(day.weekday) for day in self.hours],
            "special_days": [day.date.isoformat() for day in self.special_days],
            "basins": [basin.id for basin in self.basins],
        }
        for what, names in named.items():
            if len(set(names)) != len(names):
                raise ValueError(f"{what}: an entry is listed twice")
        for name, step in (("minutes", self.grid.minutes), ("arrivals", self.grid.arrivals)):
            if 60 % step:
                raise ValueError(f"grid/{name}: {step} does not divide an hour")
        special = (day.hours for day in self.special_days if day.hours is not None)
        for hours in (*self.hours, *special):
            for reading in (hours.opens, hours.closes):
                if minute_of_day(reading) % self.grid.minutes:
                    raise ValueError(f"{reading} is not on the grid of {self.grid.minutes} minutes")
        return self


class Closure(ChairClosure):
    """When a chair cannot be used, by its own name so that it can be withdrawn."""

    id: Identifier
