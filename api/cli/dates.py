"""Dates said on the command line."""

from __future__ import annotations

from datetime import date, timedelta

from api.cli.refusal import RefusalError
from api.clock import SystemClock
from schemas.units import EARLIEST_YEAR, LATEST_YEAR


def monday_on_or_after(said: str | None) -> date:
    """The Monday on or after the date `said`; the coming one where nothing is said.

    Raises RefusalError where it is no date.
    """
    if said is None:
        day = SystemClock().now().date() + timedelta(days=1)
    else:
        try:
            day = date.fromisoformat(said)
        except ValueError:
            raise RefusalError(f"--from {said} is no date; write it as 2026-11-30") from None
        if not EARLIEST_YEAR < day.year < LATEST_YEAR:
            raise RefusalError(f"--from {said} is too far away; stay within this century")
    return day + timedelta(days=-day.weekday() % 7)
