"""The day book: all facts of the days looked at."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Self

from pydantic import Field, ValidationError, model_validator
from pydantic_core import InitErrorDetails, PydanticCustomError

from schemas.base import Document
from schemas.booking import Booking, Request
from schemas.hair import Material, StockLine
from schemas.plan import PlannedBreak
from schemas.ranking import RankingWeights
from schemas.resources import Basin, Chair, ChairClosure, Shift, StaffMember
from schemas.rules import RuleSetting
from schemas.takeoff import RateOverride
from schemas.units import Number, Zone
from schemas.windows import TimeWindow


class Grid(Document):
    """The raster of time, in minutes."""

    minutes: Annotated[int, Field(ge=1, le=30), Number] = 5
    arrivals: Annotated[int, Field(ge=1, le=60), Number] = 15
    """Clients arrive on multiples of this, counted from local midnight."""

    @model_validator(mode="after")
    def _arrivals_lie_on_the_grid(self) -> Self:
        if self.arrivals % self.minutes:
            raise ValueError("arrivals must be a multiple of minutes")
        return self


class DayBook(Document):
    """Chairs, people, shifts, rules, bookings and requests of one salon for some days."""

    zone: Zone
    grid: Grid = Grid()
    open: Annotated[tuple[TimeWindow, ...], Field(min_length=1, max_length=100)]
    """Opening hours: one window for each day, none overlapping another."""
    chairs: Annotated[tuple[Chair, ...], Field(max_length=100)]
    basins: Annotated[tuple[Basin, ...], Field(max_length=20)] = ()
    closures: Annotated[tuple[ChairClosure, ...], Field(max_length=200)] = ()
    staff: Annotated[tuple[StaffMember, ...], Field(min_length=1, max_length=200)]
    shifts: Annotated[tuple[Shift, ...], Field(min_length=1, max_length=2000)]
    rules: Annotated[tuple[RuleSetting, ...], Field(max_length=100)] | None = None
    """Left out, the house defaults hold; an empty list leaves only the rules that always hold."""
    bookings: Annotated[tuple[Booking, ...], Field(max_length=2000)] = ()
    requests: Annotated[tuple[Request, ...], Field(max_length=500)] = ()
    breaks: Annotated[tuple[PlannedBreak, ...], Field(max_length=4000)] = ()
    """Breaks already planned for the bookings that are placed."""
    materials: Annotated[tuple[Material, ...], Field(max_length=500)] = ()
    stock: Annotated[tuple[StockLine, ...], Field(max_length=500)] = ()
    rates: Annotated[tuple[RateOverride, ...], Field(max_length=200)] = ()
    """Rates the salon sets itself, for the take-offs in this book; a take-off's own go first."""
    ranking: RankingWeights = RankingWeights()
    """What counts when places for a request are ranked."""

    @model_validator(mode="after")
    def _ids_are_unique(self) -> Self:
        named = {
            "chairs": [chair.id for chair in self.chairs],
            "basins": [basin.id for basin in self.basins],
            "staff": [person.id for person in self.staff],
            "shifts": [shift.id for shift in self.shifts],
            "visits": [visit.id for visit in (*self.bookings, *self.requests)],
            "materials": [material.id for material in self.materials],
            "stock": [line.material for line in self.stock],
        }
        errors = [
            InitErrorDetails(
                type=PydanticCustomError(
                    "duplicate_id", "{what}: the id {name} is used twice", told
                ),
                loc=place,
                input=told["name"],
            )
            for what, ids in named.items()
            for place, told in _repeated(what, ids, len(self.bookings))
        ]
        if errors:
            raise ValidationError.from_exception_data("DayBook", errors)
        return self


def _repeated(
    what: str, ids: list[str], bookings: int
) -> Iterator[tuple[tuple[str | int, ...], dict[str, str]]]:
    """The place of every id that came before, and what to say of it."""
    seen: set[str] = set()
    for index, name in enumerate(ids):
        if name in seen:
            place: tuple[str | int, ...] = (what, index, "id")
            if what == "visits":
                booked = index < bookings
                place = (
                    ("bookings", index, "id") if booked else ("requests", index - bookings, "id")
                )
            elif what == "stock":
                place = (what, index, "material")
            yield place, {"what": what, "name": name}
        seen.add(name)
