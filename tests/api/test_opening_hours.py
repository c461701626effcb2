"""The week laid over the calendar, clock changes included."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.services.opening_hours import local_instant, whole_days, window_of, windows
from schemas.salon import Hours, OpeningHours, Salon, SpecialDay

WEEK = tuple(OpeningHours(weekday=day, opens="09:00", closes="19:00") for day in range(2, 7))


def a_salon(zone: str = "Europe/Lisbon", **changes: object) -> Salon:
    facts = {"name": "Studio", "zone": zone, "currency": "EUR", "hours": WEEK, **changes}
    return Salon.model_validate(facts)


def test_a_day_of_the_week_without_hours_is_closed() -> None:
    assert window_of(a_salon(), date(2026, 11, 30)) is None  # a Monday
    assert len(windows(a_salon(), date(2026, 11, 30), date(2026, 12, 6))) == 5


def test_a_special_day_goes_before_the_week() -> None:
    closed = SpecialDay(date=date(2026, 12, 1))
    short = SpecialDay(date=date(2026, 12, 2), hours=Hours(opens="10:00", closes="12:00"))
    salon = a_salon(special_days=(closed, short))
    assert window_of(salon, date(2026, 12, 1)) is None
    window = window_of(salon, date(2026, 12, 2))
    assert window is not None
    assert window.minutes == 120


@pytest.mark.parametrize(
    ("zone", "day", "hours"),
    [
        # IANA tzdata: the European Union changes at 01:00 UTC on the last Sundays of March and
        # October, the United States at 02:00 local on the second of March and first of November.
        ("Europe/Lisbon", date(2026, 3, 29), 23),
        ("Europe/Lisbon", date(2026, 10, 25), 25),
        ("America/New_York", date(2026, 3, 8), 23),
        ("America/New_York", date(2026, 11, 1), 25),
        ("Asia/Kolkata", date(2026, 3, 29), 24),
        ("Australia/Lord_Howe", date(2026, 4, 5), 24.5),
    ],
)
def test_a_day_is_as_long_as_the_clock_makes_it(zone: str, day: date, hours: float) -> None:
    assert whole_days(day, day, zone).minutes == hours * 60


def test_hours_over_the_change_keep_the_wall_clock() -> None:
    sunday = (OpeningHours(weekday=7, opens="00:30", closes="10:00"),)
    window = window_of(a_salon(hours=sunday), date(2026, 3, 29))
    assert window is not None
    assert window.minutes == 8 * 60 + 30
    assert window.end.astimezone(UTC) == datetime(2026, 3, 29, 9, tzinfo=UTC)


def test_hours_inside_the_skipped_hour_are_no_hours() -> None:
    # In Lisbon the clock goes from 01:00 to 02:00 on this day: both readings are one instant.
    sunday = (OpeningHours(weekday=7, opens="01:00", closes="02:00"),)
    assert window_of(a_salon(hours=sunday), date(2026, 3, 29)) is None


def test_24_00_is_the_next_midnight() -> None:
    assert local_instant(date(2026, 12, 1), 1440, "Europe/Lisbon") == local_instant(
        date(2026, 12, 2), 0, "Europe/Lisbon"
    )


@given(
    st.dates(date(2020, 1, 1), date(2040, 12, 31)),
    st.sampled_from(["Europe/Lisbon", "America/New_York", "Australia/Lord_Howe", "Asia/Tokyo"]),
)
def test_days_follow_each_other_without_a_gap(day: date, zone: str) -> None:
    tomorrow = date.fromordinal(day.toordinal() + 1)
    assert whole_days(day, day, zone).end == whole_days(tomorrow, tomorrow, zone).start
