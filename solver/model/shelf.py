"""What hair there is for one day of the book, in whole milligrams.

`there` is what lies on the shelf when the day begins, with what has arrived, less what the days
before it took; a day that was short leaves nothing. `later` is how much may go today so that the
promises of later days still find theirs.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from zoneinfo import ZoneInfo

from schemas.booking import Booking, BookingStatus, Request
from schemas.daybook import DayBook
from schemas.hair import StockLine


@dataclass(frozen=True)
class Shelf:
    """One material on one day."""

    there: int
    later: int


def taken(visit: Booking | Request) -> dict[str, int]:
    """Milligrams of the salon's hair that a visit takes, by material."""
    found: dict[str, int] = defaultdict(int)
    for hair in visit.hair:
        if not hair.brought_by_client:
            found[hair.material] += milligrams(hair.grams)
    return {material: amount for material, amount in found.items() if amount}


def milligrams(grams: float) -> int:
    """Read as it is written, half a milligram upwards."""
    return int((Decimal(str(grams)) * 1000).quantize(Decimal(1), ROUND_HALF_UP))


def shelves(
    day_book: DayBook,
    today: date,
    visits: Iterable[Booking | Request],
    before: Mapping[str, date],
    lead_days: int,
) -> dict[str, Shelf]:
    """The shelf of every material that a visit of today may take.

    `before` gives the day of every visit that an earlier day took.
    """
    zone = ZoneInfo(day_book.zone)
    every: tuple[Booking | Request, ...] = (*day_book.bookings, *day_book.requests)
    known = {visit.id: visit for visit in every}
    used: dict[str, dict[date, int]] = defaultdict(lambda: defaultdict(int))
    for name, day in before.items():
        for material, amount in taken(known[name]).items():
            used[material][day] += amount
    promised: dict[str, dict[date, int]] = defaultdict(lambda: defaultdict(int))
    for booking in day_book.bookings:
        day = booking.promise.start.astimezone(zone).date()
        if booking.status is BookingStatus.CONFIRMED and day > today:
            for material, amount in taken(booking).items():
                promised[material][day] += amount
    stock = {line.material: line for line in day_book.stock}
    asked = {material for visit in visits for material in taken(visit)}
    return {
        material: _shelf(stock.get(material), today, used[material], promised[material], lead_days)
        for material in sorted(asked)
    }


def _shelf(
    line: StockLine | None,
    today: date,
    used: Mapping[date, int],
    promised: Mapping[date, int],
    lead_days: int,
) -> Shelf:
    arriving: dict[date, int] = defaultdict(int)
    for order in line.on_order if line else ():
        arriving[order.arrives + timedelta(days=lead_days)] += milligrams(order.grams)
    there = milligrams(line.on_hand_grams) if line else 0
    for day in sorted({*used, *arriving}):
        if day <= today:
            there += arriving.get(day, 0)
        if day < today:
            there = max(0, there - used.get(day, 0))
    spare = later = there
    for day in sorted({*promised, *arriving}):
        if day > today:
            spare += arriving.get(day, 0) - promised.get(day, 0)
            later = min(later, spare)
    return Shelf(there, max(0, later))
