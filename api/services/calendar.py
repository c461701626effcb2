"""Visits and breaks as an iCalendar object (RFC 5545).

UID is the booking's own and never changes; SEQUENCE is how often the booking has been written, so
it rises with every change; a booking called off stays with STATUS:CANCELLED where it was. Times are
local, with their zone in a VTIMEZONE (RFC 5545, 3.6.5).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event

from api.services.ports import KeptFeed, Versioned
from api.version import VERSION
from schemas.booking import BookingStatus
from schemas.dealings import BookingRecord
from schemas.feeds import FeedKind
from schemas.plan import PlannedBreak, PlannedVisit
from schemas.resources import Chair, StaffMember
from schemas.salon import Salon

DOMAIN = "partline"
_NUMBER = re.compile(r"\+?\d(?:[ ()./-]*\d){4,}")
"""What looks like a telephone number: five digits or more. It stays out of a feed."""


def calendar(
    feed: KeptFeed,
    salon: Salon,
    *,
    bookings: Iterable[Versioned[BookingRecord]],
    breaks: Iterable[PlannedBreak],
    staff: Iterable[StaffMember],
    chairs: Iterable[Chair],
    revision: int,
) -> bytes:
    """What the feed tells, as text/calendar. `revision` is the book's, which rises with changes."""
    names = _Names(
        ZoneInfo(salon.zone),
        {person.id: person.name for person in staff},
        {chair.id: chair.name for chair in chairs},
    )
    subject = feed.subject
    whose = salon.name
    if feed.kind is FeedKind.PERSON:
        whose = names.staff.get(subject or "", salon.name)
    elif feed.kind is FeedKind.CHAIR:
        whose = names.chairs.get(subject or "", salon.name)
    told = Calendar()
    told.add("prodid", f"-//Partline//Partline {VERSION}//EN")
    told.add("version", "2.0")
    told.add("calscale", "GREGORIAN")
    told.add("method", "PUBLISH")
    told.add("name", whose)  # RFC 7986, 5.1
    told.add("x-wr-calname", whose)  # What clients read that do not know RFC 7986.
    for each in bookings:
        event = _visit(each, feed, names, salon)
        if event is not None:
            told.add_component(event)
    if feed.kind is FeedKind.PERSON:
        for event in _breaks((each for each in breaks if each.staff == subject), names, revision):
            told.add_component(event)
    told.add_missing_timezones()
    written: bytes = told.to_ical()
    return written


@dataclass(frozen=True)
class _Names:
    zone: ZoneInfo
    staff: Mapping[str, str]
    chairs: Mapping[str, str]

    def local(self, instant: datetime) -> datetime:
        return instant.astimezone(self.zone)

    def clock(self, instant: datetime) -> str:
        return self.local(instant).strftime("%H:%M")


def _visit(
    each: Versioned[BookingRecord], feed: KeptFeed, names: _Names, salon: Salon
) -> Event | None:
    record = each.document
    gone = record.status is BookingStatus.CANCELLED
    place = record.freed if gone else record.placed
    if place is None or not _concerns(place, feed):
        return None
    event = Event()
    event.add("uid", f"{record.id}@{DOMAIN}")
    event.add("sequence", each.version - 1)
    event.add("dtstamp", record.changed_at.astimezone(UTC))
    event.add("created", record.created_at.astimezone(UTC))
    event.add("last-modified", record.changed_at.astimezone(UTC))
    event.add("dtstart", names.local(place.window.start))
    event.add("dtend", names.local(place.window.end))
    event.add("status", "CANCELLED" if gone else "CONFIRMED")
    event.add("transp", "TRANSPARENT" if gone else "OPAQUE")
    style = "" if record.take_off is None else f", {record.take_off.style.name}"
    event.add("summary", _NUMBER.sub("(number)", f"{record.request.client}{style}"))
    chair = "" if place.chair is None else names.chairs.get(place.chair, place.chair)
    event.add("location", f"{salon.name}, {chair}" if chair else salon.name)
    event.add("description", "\n".join(_crew(place, names)))
    event.add("class", "PRIVATE")
    return event


def _concerns(place: PlannedVisit, feed: KeptFeed) -> bool:
    if feed.kind is FeedKind.CHAIR:
        return place.chair == feed.subject
    return feed.kind is FeedKind.SALON or feed.subject in (place.lead, *place.assistants)


def _crew(place: PlannedVisit, names: _Names) -> Iterator[str]:
    yield f"Lead: {names.staff.get(place.lead, place.lead)}"
    for phase in place.phases:
        who = names.staff.get(phase.performer, phase.performer)
        begin, end = names.clock(phase.window.start), names.clock(phase.window.end)
        yield f"{begin}-{end} {phase.kind}: {who}"
        for help_ in phase.help:
            begin, end = names.clock(help_.window.start), names.clock(help_.window.end)
            yield f"  with {names.staff.get(help_.staff, help_.staff)} {begin}-{end}"


def _breaks(breaks: Iterable[PlannedBreak], names: _Names, revision: int) -> Iterator[Event]:
    """Breaks have no name of their own: they are told apart by their day, kind and order in it."""
    counted: dict[str, int] = {}
    for each in sorted(breaks, key=lambda pause: pause.window.start):
        day = names.local(each.window.start).date()
        key = f"break-{each.staff}-{day}-{each.kind}"
        counted[key] = counted.get(key, 0) + 1
        event = Event()
        event.add("uid", f"{key}-{counted[key]}@{DOMAIN}")
        event.add("sequence", revision)
        event.add("dtstamp", each.window.start.astimezone(UTC))
        event.add("dtstart", names.local(each.window.start))
        event.add("dtend", names.local(each.window.end))
        event.add("summary", f"{each.kind.value.capitalize()} break")
        event.add("status", "CONFIRMED")
        yield event
