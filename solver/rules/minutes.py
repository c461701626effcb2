"""Instants as whole minutes, for the checkers."""

from __future__ import annotations

from datetime import UTC, datetime

from schemas.windows import TimeWindow

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)

Span = tuple[int, int]
"""`[start, end)` in minutes since 1970-01-01T00:00Z."""


def minute(instant: datetime) -> int:
    """Whole minutes since the epoch. Two zones never meet in one subtraction by the wall clock."""
    return int((instant - _EPOCH).total_seconds() // 60)


def span(window: TimeWindow) -> Span:
    return minute(window.start), minute(window.end)
