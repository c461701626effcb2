"""What every page has round it: its navigation, its headers, and how it is answered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from litestar import Request
from litestar.response import Template

from api.headers import PAGE_POLICY
from api.services.callers import CALLER, Caller
from api.services.permits import MAY
from schemas.salon import Salon

HEADERS = {"Content-Security-Policy": PAGE_POLICY}
"""Also where nothing is at a path; what else a browser is told stands in `api.headers`."""
PageRequest = Request[Any, Any, Any]


@dataclass(frozen=True)
class Place:
    """A word of the navigation: shown to whoever may do the operation behind it."""

    path: str
    word: str
    operation: str


PLACES = (
    Place("/", "The day", "readDay"),
    Place("/my-day", "My day", "tapVisit"),
    Place("/week", "The week", "chairUtilisation"),
    Place("/hair", "Hair", "listHairStock"),
    Place("/calendars", "Calendars", "listCalendarFeeds"),
)


def may(caller: Caller, operation: str) -> bool:
    """Whether the caller may do it; where no token is asked for, everybody may."""
    return caller.role is None or caller.role in MAY.get(operation, frozenset())


def page(
    template: str,
    *,
    title: str,
    salon: Salon | None,
    here: str = "",
    status: int = 200,
    **facts: Any,
) -> Template:
    """A whole page. `here` is the path of its word in the navigation."""
    caller = CALLER.get()
    context = {
        "title": title,
        "salon": salon,
        "here": here,
        "caller": caller,
        "places": tuple(place for place in PLACES if may(caller, place.operation)),
        "may": lambda operation: may(caller, operation),
        **facts,
    }
    return Template(template, context=context, status_code=status, headers=HEADERS)


def part(template: str, *, status: int = 200, **facts: Any) -> Template:
    """A part of a page, for an exchange within it."""
    caller = CALLER.get()
    context = {"may": lambda operation: may(caller, operation), **facts}
    return Template(template, context=context, status_code=status, headers=HEADERS)


def wants_part(request: PageRequest) -> bool:
    """Whether the page that is shown already asks for a part of itself."""
    return request.headers.get("HX-Request") == "true"
