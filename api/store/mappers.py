"""Between the columns and the documents."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any, TypeVar

import sqlalchemy as sa

from schemas.base import Document
from schemas.dealings import BookingRecord
from schemas.plan import PlannedBreak
from schemas.windows import TimeWindow

D = TypeVar("D", bound=Document)
MOST_READ = 12_000
"""Documents read of late that are kept: twelve weeks of a large salon have some 7,000, and a
booking takes some 15 kB."""


def minute(instant: datetime) -> int:
    """Whole minutes since 1970 in UTC."""
    return int(instant.astimezone(UTC).timestamp()) // 60


def bounds(window: TimeWindow) -> dict[str, int]:
    return {"starts_at": minute(window.start), "ends_at": minute(window.end)}


def to_json(document: Document) -> dict[str, Any]:
    return document.model_dump(mode="json")


def from_json(model: type[D], stored: Any) -> D:
    return model.model_validate(stored)


def as_text(document: sa.ColumnElement[Any]) -> sa.ColumnElement[str]:
    """A column of documents as it is stored, for `from_text`."""
    return sa.cast(document, sa.Text)


@lru_cache(maxsize=MOST_READ)
def _read(model: type[Document], text: str) -> Document:
    return from_json(model, json.loads(text))


def from_text(model: type[D], text: str) -> D:
    """The document of a stored text; the very same one where that text was read of late.

    Most of a book is as it was at the last reading, and documents never change.
    """
    found = _read(model, text)
    assert isinstance(found, model)
    return found


def forget_read() -> None:
    """Keep no document in memory that was read before: it may name a client who is erased."""
    _read.cache_clear()


def booking_columns(record: BookingRecord) -> dict[str, Any]:
    """What the table repeats of a booking so that it can be asked for."""
    asked = record.request.windows
    placed = record.placed
    return {
        "status": record.status.value,
        "starts_at": minute(placed.window.start) if placed else None,
        "ends_at": minute(placed.window.end) if placed else None,
        "asked_from": min(minute(window.start) for window in asked),
        "asked_to": max(minute(window.end) for window in asked),
    }


def break_columns(planned: PlannedBreak) -> dict[str, Any]:
    return {
        "staff_id": planned.staff,
        "inside": planned.inside,
        **bounds(planned.window),
        "document": to_json(planned),
    }
