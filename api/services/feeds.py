"""Calendar feeds: addresses that somebody who knows them may read, and that can be taken back.

The secret in an address is 256 random bits, told once and kept as a digest, as tokens are.
"""

from __future__ import annotations

import secrets
from datetime import timedelta

from api.clock import Clock
from api.services.calendar import calendar
from api.services.errors import AlreadyThereError, NotFoundError, UnprocessableError
from api.services.opening_hours import local_day, whole_days
from api.services.ports import KeptFeed, Store, UnitOfWork
from api.services.salon import salon_of
from api.services.tokens import digest_of
from schemas.feeds import CalendarFeed, CalendarFeedMade, FeedKind, NewCalendarFeed
from solver.errors import Fault

PATH = "/calendars/"
DAYS_BACK, DAYS_ON = 28, 180
"""The days that a feed tells, from today."""


class Feeds:
    def __init__(self, store: Store, clock: Clock) -> None:
        self.store = store
        self.clock = clock

    async def all(self) -> tuple[CalendarFeed, ...]:
        async with self.store.reading() as unit:
            return tuple(_told(feed) for feed in await unit.feeds.all())

    async def make(self, new: NewCalendarFeed) -> CalendarFeedMade:
        """A feed with its address, told this once. Raises UnprocessableError, AlreadyThereError."""
        secret = secrets.token_urlsafe(32)
        feed = KeptFeed(new.id, new.kind, new.subject, self.clock.now(), None)
        try:
            async with self.store.writing() as unit:
                await _require_subject(unit, new)
                await unit.feeds.add(feed, digest_of(secret))
        except AlreadyThereError as taken:
            raise AlreadyThereError(f"there is a feed {new.id} already") from taken
        return CalendarFeedMade(**_told(feed).model_dump(), path=f"{PATH}{secret}.ics")

    async def revoke(self, name: str) -> CalendarFeed:
        """Its address is nobody's from now on; doing it again changes nothing."""
        async with self.store.writing() as unit:
            if not await unit.feeds.revoke(name, self.clock.now()):
                raise NotFoundError("feed", name)
            return next(_told(feed) for feed in await unit.feeds.all() if feed.id == name)

    async def read(self, secret: str) -> bytes:
        """The calendar behind an address (RFC 5545). Raises NotFoundError where there is none."""
        async with self.store.reading() as unit:
            feed = await unit.feeds.find(digest_of(secret))
            if feed is None or feed.revoked_at is not None:
                raise NotFoundError("calendar", "at this address")
            salon = await salon_of(unit)
            today = local_day(self.clock.now(), salon.zone)
            span = whole_days(
                today - timedelta(days=DAYS_BACK), today + timedelta(days=DAYS_ON), salon.zone
            )
            bookings = await unit.bookings.versions(span)
            breaks = await unit.breaks.during(span)
            staff, chairs = await unit.staff.all(), await unit.chairs.all()
            revision = unit.revision
        return calendar(
            feed,
            salon,
            bookings=bookings,
            breaks=breaks,
            staff=staff,
            chairs=chairs,
            revision=revision,
        )


async def _require_subject(unit: UnitOfWork, new: NewCalendarFeed) -> None:
    found: object = new.kind is FeedKind.SALON
    if new.kind is FeedKind.PERSON and new.subject is not None:
        found = await unit.staff.get(new.subject)
    elif new.kind is FeedKind.CHAIR and new.subject is not None:
        found = await unit.chairs.get(new.subject)
    if not found:
        raise UnprocessableError(Fault("/subject", f"there is no {new.kind} of that name"))


def _told(feed: KeptFeed) -> CalendarFeed:
    return CalendarFeed(
        id=feed.id,
        kind=feed.kind,
        subject=feed.subject,
        made_at=feed.made_at,
        revoked_at=feed.revoked_at,
    )
