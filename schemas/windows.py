"""Windows of time, half-open: the start belongs to the window, the end does not."""

from __future__ import annotations

from typing import Self

from pydantic import model_validator

from schemas.base import Document
from schemas.units import Timestamp


class TimeWindow(Document):
    """`[start, end)`. Two windows that only touch do not overlap."""

    start: Timestamp
    end: Timestamp

    @model_validator(mode="after")
    def _ends_after_it_starts(self) -> Self:
        if self.end <= self.start:
            raise ValueError("the window must end after it starts")
        return self

    @property
    def minutes(self) -> int:
        """Elapsed minutes, true across a clock change."""
        return round((self.end - self.start).total_seconds() / 60)

    def overlaps(self, other: TimeWindow) -> bool:
        return self.start < other.end and other.start < self.end

    def contains(self, other: TimeWindow) -> bool:
        return self.start <= other.start and other.end <= self.end
