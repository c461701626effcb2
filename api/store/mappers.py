"""Between the columns and the documents."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, TypeVar

from schemas.base import Document
from schemas.dealings import BookingRecord
from schemas.plan import PlannedBreak
from schemas.windows import TimeWindow

D = TypeVar("D", bound=Document)


def minute(instant: datetime) -> int:
    """Whole minutes since 1970 in UTC."""
    return int(instant.astimezone(UTC).timestamp()) // 60


def bounds(window: TimeWindow) -> dict[str, int]:
    return {"starts_at": minute(window.start), "ends_at": minute(window.end)}


def to_json(document: Document) -> dict[str, Any]:
    return document.model_dump(mode="json")


def from_json(model: type[D], stored: Any) -> D:
    return model.model_validate(stored)


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
