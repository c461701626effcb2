"""Calendars that people's own phones read: made, told once, taken back."""

from __future__ import annotations

import secrets

from litestar import Controller, get, post
from litestar.di import NamedDependency
from litestar.params import FromPath
from litestar.response import Redirect, Template

from api.pages.forms import Answers, Filled, filled
from api.pages.frame import PageRequest, page
from api.services.desk import Desk
from schemas.feeds import CalendarFeedMade, FeedKind, NewCalendarFeed

MOST = 500


class Wanted(Answers):
    """Whose calendar: `salon`, or a person or chair by kind and name."""

    whose: str


class CalendarPages(Controller):
    path = "/calendars"

    @get("/", operation_id="listCalendarFeeds")
    async def calendars(self, desk: NamedDependency[Desk]) -> Template:
        return await _shown(desk, Filled())

    @post("/", operation_id="makeCalendarFeed", status_code=200)
    async def make(self, request: PageRequest, desk: NamedDependency[Desk]) -> Template:
        """The page tells the address, this once."""
        form = await filled(request, Wanted)
        known = {value for value, _ in await _choices(desk)}
        if form.read is None or form.read.whose not in known:
            return await _shown(desk, form.with_faults({"whose": "Choose one of the list."}), 422)
        kind, _, subject = form.read.whose.partition(":")
        new = NewCalendarFeed(
            id=f"{(subject or kind)[:50]}-{secrets.token_hex(4)}",
            kind=FeedKind(kind),
            subject=subject or None,
        )
        return await _shown(
            desk, Filled(), made=await desk.feeds.make(new), base=str(request.base_url)
        )

    @post("/{feed:str}/end", operation_id="revokeCalendarFeed", status_code=303)
    async def end(self, desk: NamedDependency[Desk], feed: FromPath[str]) -> Redirect:
        await desk.feeds.revoke(feed)
        return Redirect("/calendars", status_code=303)


async def _choices(desk: Desk) -> list[tuple[str, str]]:
    people, _ = await desk.staff.page(None, MOST)
    chairs, _ = await desk.chairs.page(None, MOST)
    told = [("salon", "The whole salon")]
    told += [(f"person:{each.id}", each.name) for each in people if not each.retired]
    told += [(f"chair:{each.id}", each.name) for each in chairs if not each.retired]
    return told


async def _shown(
    desk: Desk,
    form: Filled[Wanted],
    status: int = 200,
    made: CalendarFeedMade | None = None,
    base: str = "",
) -> Template:
    choices = await _choices(desk)
    return page(
        "calendars/calendars.html",
        title="Calendars",
        salon=(await desk.salon.read()).document,
        here="/calendars",
        status=status,
        form=form,
        choices=choices,
        names=dict(choices),
        feeds=[feed for feed in await desk.feeds.all() if feed.revoked_at is None],
        made=made,
        address=None if made is None else f"{base.rstrip('/')}{made.path}",
    )
