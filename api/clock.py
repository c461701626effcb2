"""The only place that asks the time."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """A port: tests bring a clock of their own."""

    def now(self) -> datetime:
        """This instant, aware."""
        ...


class SystemClock:
    """The machine's clock."""

    def now(self) -> datetime:
        return datetime.now(UTC)  # noqa: TID251  # every other module asks a Clock
