"""The shelf as one day finds it, so that a day judged by itself sees what other days take.

Other days' visits are not in a block's part of the book. Their hair is taken off here: what earlier
days used is gone, and what later days need is set aside before anything new may have it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from schemas.booking import Booking, BookingStatus
from schemas.daybook import DayBook
from schemas.hair import StockLine
from schemas.windows import TimeWindow
from solver.rules import settings_in_force

CODE = "hair-on-hand"
MILLI = 1000
_Grams = dict[date, int]


def stock_of_day(day_book: DayBook, windows: Iterable[TimeWindow]) -> tuple[StockLine, ...]:
    """The day book's stock as it is for the first date of `windows`, with nothing under way.

    Unchanged where `hair-on-hand` is not in force. What the day's own visits take is still in it.
    """
    setting = next((s for s in settings_in_force(day_book) if s.code == CODE), None)
    if setting is None:
        return day_book.stock
    zone = ZoneInfo(day_book.zone)
    today = min(window.start for window in windows).astimezone(zone).date()
    notice = timedelta(days=int(setting.parameters["days"]))
    needs: dict[str, _Grams] = defaultdict(lambda: defaultdict(int))
    for booking in day_book.bookings:
        day = _date(booking, zone)
        if booking.status is not BookingStatus.CANCELLED and day is not None:
            for hair in booking.hair:
                if not hair.brought_by_client:
                    needs[hair.material][day] += round(hair.grams * MILLI)
    return tuple(_line(line, needs[line.material], today, notice) for line in day_book.stock)


def _date(booking: Booking, zone: ZoneInfo) -> date | None:
    """The day its hair is taken; none for a tentative booking that has no place."""
    if booking.placed is not None:
        return booking.placed.window.start.astimezone(zone).date()
    if booking.status is BookingStatus.TENTATIVE:
        return None
    return booking.promise.start.astimezone(zone).date()


def _line(line: StockLine, needs: _Grams, today: date, notice: timedelta) -> StockLine:
    arriving: _Grams = defaultdict(int)
    for order in line.on_order:
        arriving[order.arrives + notice] += round(order.grams * MILLI)
    there = round(line.on_hand_grams * MILLI)
    for day in sorted({*needs, *arriving, today}):
        if day <= today:
            there += arriving.get(day, 0)
        if day < today:
            there = max(0, there - needs.get(day, 0))
    own = needs.get(today, 0)
    left = spare = there - own
    for day in sorted({*needs, *arriving}):
        if day > today:
            left += arriving.get(day, 0) - needs.get(day, 0)
            spare = min(spare, left)
    # The day keeps what its own visits take, as far as it is there; a new one may have the spare.
    return StockLine(material=line.material, on_hand_grams=min(there, own + max(0, spare)) / MILLI)
