"""Day books as a person would write them."""

from __future__ import annotations

from typing import Any

from schemas.booking import Booking, Request
from schemas.daybook import DayBook
from schemas.plan import Plan
from tests.builders import a_booking, a_day_book, a_meal, a_placed, a_plan, a_request, a_setting


def plain(document: DayBook | Plan) -> dict[str, Any]:
    """The document as JSON, defaults left out."""
    return document.model_dump(mode="json", exclude_defaults=True)


def book(*visits: Booking | Request, **changes: Any) -> dict[str, Any]:
    """One chair, one lead, one assistant, with meal breaks and turnaround."""
    rules = (a_setting("meal-break"), a_setting("turnaround", minutes=10))
    return plain(a_day_book(visits=visits, rules=rules, **changes))


def morning_and_plan() -> tuple[dict[str, Any], dict[str, Any]]:
    """A day book with one promise, and a plan that keeps every rule."""
    visit = a_booking("booking-1", "9:00", 120)
    plan = a_plan(
        a_placed(visit, "9:00"),
        breaks=(a_meal("12:00", "12:30"), a_meal("12:00", "12:30", "assistant-1")),
    )
    return book(visit), plain(plan)


def two_promises_for_one_lead() -> dict[str, Any]:
    """Both clients were promised nine o'clock; the lead has two hands."""
    return book(a_booking("booking-1", "9:00", 120), a_booking("booking-2", "9:00", 120))


def a_request_at_noon() -> dict[str, Any]:
    return book(a_booking("booking-1", "9:00", 120), a_request("request-1", 120))


def changed(document: dict[str, Any], path: str, value: object) -> dict[str, Any]:
    """`document` with `value` at the JSON Pointer `path`; the document is changed in place."""
    here: Any = document
    *way, last = path.split("/")[1:]
    for part in way:
        here = here[int(part)] if isinstance(here, list) else here[part]
    here[int(last) if isinstance(here, list) else last] = value
    return document
