"""Times, amounts and days in the words of the pages. English, whatever the process's locale."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

_WEEK = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_YEAR = ("January", "February", "March", "April", "May", "June", "July", "August",
         "September", "October", "November", "December")  # fmt: skip
# ISO 4217: currencies whose minor unit is not a hundredth.
_DIGITS = dict.fromkeys(
    ("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND",
     "VUV", "XAF", "XOF", "XPF"), 0
) | dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3)  # fmt: skip


def clock(instant: datetime, zone: str) -> str:
    """`09:05` by the salon's clock."""
    return instant.astimezone(ZoneInfo(zone)).strftime("%H:%M")


def day_of(instant: datetime, zone: str) -> date:
    """The salon's date at that instant."""
    return instant.astimezone(ZoneInfo(zone)).date()


def days_later(day: date, days: int) -> date:
    return day + timedelta(days=days)


def long_day(day: date) -> str:
    """`Tuesday 1 December`."""
    return f"{_WEEK[day.weekday()]} {day.day} {_YEAR[day.month - 1]}"


def short_day(day: date) -> str:
    """`Tue 1 Dec`."""
    return f"{_WEEK[day.weekday()][:3]} {day.day} {_YEAR[day.month - 1][:3]}"


def hours(minutes: float) -> str:
    """`3 h 30`, or `25 min`."""
    whole = round(minutes)
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d}"


def grams(amount: float) -> str:
    """`1 250 g`, with a space that does not break."""
    return f"{amount:,.0f} g".replace(",", "\N{NARROW NO-BREAK SPACE}").replace(
        " ", "\N{NO-BREAK SPACE}"
    )


def money(amount: int, currency: str) -> str:
    """`27.00 EUR` of an amount in minor units."""
    digits = _DIGITS.get(currency, 2)
    if not digits:
        return f"{amount} {currency}"
    return f"{amount / 10**digits:.{digits}f} {currency}"


FILTERS = {
    "clock": clock,
    "day_of": day_of,
    "days_later": days_later,
    "long_day": long_day,
    "short_day": short_day,
    "hours": hours,
    "grams": grams,
    "money": money,
}
"""What templates may write after a bar."""
