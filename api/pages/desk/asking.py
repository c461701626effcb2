"""What a client asks for: a style, and when it would suit her."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, time, timedelta
from secrets import token_hex
from typing import Annotated, Self

from pydantic import Field, model_validator

from api.pages.desk.styles import Described
from api.pages.forms import Answers, fault
from api.services.opening_hours import local_instant, window_of
from schemas.booking import Request
from schemas.openings import Wish
from schemas.salon import Salon
from schemas.style import MenuEntry, Style
from schemas.takeoff import TakeOffRequest
from schemas.windows import TimeWindow

NOBODY_YET = "A client"
"""Who holds a place before she has said her name."""
LONGEST = 62
WEEKDAYS = ((1, "Mon"), (2, "Tue"), (3, "Wed"), (4, "Thu"), (5, "Fri"), (6, "Sat"), (7, "Sun"))
WISHES = (
    (Wish.SOONEST, "As soon as can be"),
    (Wish.ANY_HOUR, "The soonest day, at any hour"),
    (Wish.EARLY_FINISH, "Done early in the day"),
    (Wish.SHORTEST, "The shortest sitting"),
)
Weekday = Annotated[int, Field(ge=1, le=7)]


class When(Answers):
    """When it would suit a client, and whom she would like."""

    first: date
    last: date
    weekdays: tuple[Weekday, ...] = ()
    """None ticked means that any day would do."""
    since: time | None = None
    until: time | None = None
    lead: str | None = None
    only_her: bool = False
    wish: Wish = Wish.SOONEST

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.since is not None and self.until is not None and self.until <= self.since:
            raise fault("until", "Must be later than the other time.")
        if self.last < self.first:
            raise fault("last", "Must not be before the first day.")
        if (self.last - self.first).days >= LONGEST:
            raise fault("last", f"At most {LONGEST} days are looked at.")
        return self


class Ask(Described, When):
    """A client's whole question."""

    client: Annotated[str, Field(max_length=200)] | None = None


def windows(when: When, salon: Salon) -> tuple[TimeWindow, ...]:
    """The hours that suit her, on days the salon is open; empty where it is open on none."""
    return tuple(_windows(when, salon))


def _windows(when: When, salon: Salon) -> Iterator[TimeWindow]:
    for number in range((when.last - when.first).days + 1):
        day = when.first + timedelta(days=number)
        hours = window_of(salon, day)
        if hours is None or (when.weekdays and day.isoweekday() not in when.weekdays):
            continue
        start, end = hours.start, hours.end
        if when.since is not None:
            start = max(start, local_instant(day, _minutes(when.since), salon.zone))
        if when.until is not None:
            end = min(end, local_instant(day, _minutes(when.until), salon.zone))
        if start < end:
            yield TimeWindow(start=start, end=end)


def _minutes(clock: time) -> int:
    return clock.hour * 60 + clock.minute


def request_of(
    ask: Ask, style: Style, entry: MenuEntry | None, suits: Sequence[TimeWindow]
) -> Request:
    """The request that the desk makes of what was said."""
    return Request(
        id=f"visit-{token_hex(5)}",
        client=ask.client or NOBODY_YET,
        take_off=TakeOffRequest(style=style),
        max_assistants=1 if entry is None else entry.max_assistants,
        chair_features=() if entry is None else entry.chair_features,
        tags=() if entry is None else entry.tags,
        required_lead=ask.lead if ask.only_her else None,
        preferred_lead=None if ask.only_her else ask.lead,
        windows=tuple(suits),
    )
