"""Units and identifiers, bounded so that nonsense is refused at the door.

Minutes are integers, money is an integer of minor units, lengths are centimetres, masses are grams,
instants are zone-aware and fall on whole minutes.
"""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta, timezone
from typing import Annotated, Any, cast
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BeforeValidator,
    Field,
    Strict,
    StringConstraints,
)

MINUTES_PER_DAY = 1440
MAX_MINUTES = 14 * MINUTES_PER_DAY
"""The longest span a single figure may state, in minutes (a fortnight)."""
MAX_MINOR_UNITS = 2_000_000_000
"""The largest amount of money, in minor units; below a 32-bit integer's limit."""
EARLIEST_YEAR, LATEST_YEAR = 2000, 2100


def _number_only(value: Any) -> Any:
    """Refuse `true` and `"7"`, which pydantic would otherwise read as numbers."""
    if isinstance(value, bool | str):
        raise ValueError("must be a number, not text or true/false")
    return value


def _whole_minute(value: datetime) -> datetime:
    if value.second or value.microsecond:
        raise ValueError("must fall on a whole minute")
    if not EARLIEST_YEAR <= value.year <= LATEST_YEAR:
        raise ValueError(f"must lie between the years {EARLIEST_YEAR} and {LATEST_YEAR}")
    # Two datetimes that share a ZoneInfo are compared and subtracted by the wall clock, which loses
    # the hour of a clock change. A fixed offset keeps the local reading and the true length.
    return value.astimezone(timezone(cast("timedelta", value.utcoffset())))


_DATE_AND_TIME = re.compile(r"^[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ]", re.ASCII)
_DATE = re.compile(r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$", re.ASCII)


def _text_only(value: Any) -> Any:
    # pydantic reads 1700000000, and "1700000000" too, as seconds since 1970.
    if isinstance(value, int | float):
        raise ValueError("must be a timestamp such as 2026-12-01T09:00:00+01:00, not a number")
    if isinstance(value, str) and not _DATE_AND_TIME.match(value):
        raise ValueError("must be a timestamp such as 2026-12-01T09:00:00+01:00")
    return value


def _calendar_date(value: Any) -> Any:
    if isinstance(value, int | float) or (isinstance(value, str) and not _DATE.match(value)):
        raise ValueError("must be a date such as 2026-12-01")
    return value


def _near_date(value: date) -> date:
    if not EARLIEST_YEAR <= value.year <= LATEST_YEAR:
        raise ValueError(f"must lie between the years {EARLIEST_YEAR} and {LATEST_YEAR}")
    return value


_ZONE_NAME = re.compile(r"^[A-Za-z][A-Za-z0-9_+-]*(/[A-Za-z0-9_+-]+){0,2}$")


def _known_zone(value: str) -> str:
    # A zone name becomes a file name inside zoneinfo: check its shape before it gets there.
    if not _ZONE_NAME.match(value):
        raise ValueError("must be an IANA time zone such as Europe/Lisbon")
    try:
        ZoneInfo(value)
    except (ZoneInfoNotFoundError, ValueError, OSError) as unknown:
        raise ValueError("must be an IANA time zone such as Europe/Lisbon") from unknown
    return value


Number = BeforeValidator(_number_only)
"""Written last in an annotation: a bound that follows a validator is lost to the JSON Schema."""

Identifier = Annotated[
    str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]*$", min_length=1, max_length=64)
]
"""Lower-case letters, digits and hyphens, at most 64 characters."""
Text = Annotated[
    str, StringConstraints(pattern=r"^[^\x00-\x1f\x7f]+$", min_length=1, max_length=200)
]
"""One line for people: no control characters, at most 200 characters."""
Zone = Annotated[str, StringConstraints(max_length=64), AfterValidator(_known_zone)]
Currency = Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")]
"""ISO 4217 code."""

LocalTime = Annotated[str, StringConstraints(pattern=r"^(([01][0-9]|2[0-3]):[0-5][0-9]|24:00)$")]
"""A time of day on the salon's clock, `HH:MM`; `24:00` is the end of the day."""

Flag = Annotated[bool, Strict()]
"""`true` or `false`, and neither 0, 1 nor "yes"."""
Minutes = Annotated[int, Field(ge=0, le=MAX_MINUTES), Number]
WorkMinutes = Annotated[int, Field(ge=1, le=MAX_MINUTES), Number]
Count = Annotated[int, Field(ge=0, le=2000), Number]
Level = Annotated[int, Field(ge=1, le=5), Number]
"""Mastery of a skill: 1 learning, 3 on her own, 5 teaches it."""
Weight = Annotated[int, Field(ge=0, le=1_000_000), Number]
MinorUnits = Annotated[int, Field(ge=0, le=MAX_MINOR_UNITS), Number]
Grams = Annotated[float, Field(ge=0, le=20_000), Number]
Centimetres = Annotated[float, Field(gt=0, le=200), Number]
Pace = Annotated[float, Field(ge=0.25, le=4), Number]
"""Minutes needed as a multiple of the house minutes: 1.1 is ten per cent slower."""
HelpRate = Annotated[float, Field(gt=0, le=1), Number]
"""Minutes of the lead's work that one minute of help replaces."""
Share = Annotated[float, Field(ge=0, le=1), Number]
Timestamp = Annotated[AwareDatetime, BeforeValidator(_text_only), AfterValidator(_whole_minute)]
"""RFC 3339, with an offset, on a whole minute."""
Day = Annotated[date, BeforeValidator(_calendar_date), AfterValidator(_near_date)]
"""A date of the calendar, `YYYY-MM-DD`."""
