"""Calendar feeds: made and taken back by the owner, read by whoever knows the address."""

from __future__ import annotations

from litestar import Controller, Response, delete, get, post
from litestar.di import NamedDependency
from litestar.params import FromPath, JSONBody

from api.controllers.operations import ADDS, READS, REMOVES, refuses
from api.controllers.parameters import Name
from api.paths import EVERYBODY
from api.services.desk import Desk
from api.services.errors import NotFoundError
from schemas.feeds import CalendarFeed, CalendarFeedMade, CalendarFeeds, NewCalendarFeed

ENDING = ".ics"
LONGEST_SECRET = 100


class CalendarFeedController(Controller):
    path = "/calendar-feeds"
    tags = ("calendar-feeds",)

    @get(
        operation_id="listCalendarFeeds",
        summary="List the calendar feeds",
        opt=refuses(READS),
    )
    async def list_feeds(self, desk: NamedDependency[Desk]) -> CalendarFeeds:
        """Whose days each tells, and whether it was taken back; never its address."""
        return CalendarFeeds(items=await desk.feeds.all())

    @post(
        operation_id="makeCalendarFeed",
        summary="Make a calendar feed",
        opt=refuses(ADDS),
    )
    async def make_feed(
        self, desk: NamedDependency[Desk], data: JSONBody[NewCalendarFeed]
    ) -> CalendarFeedMade:
        """Of a person, a chair or the salon (RFC 5545). Its secret address is told this once."""
        return await desk.feeds.make(data)

    @delete(
        "/{id:str}",
        operation_id="revokeCalendarFeed",
        summary="Take a calendar feed back",
        status_code=200,
        opt=refuses(REMOVES),
    )
    async def revoke_feed(self, desk: NamedDependency[Desk], name: Name) -> CalendarFeed:
        """Its address is nobody's from now on. Its name is not given again."""
        return await desk.feeds.revoke(name)


@get("/calendars/{address:str}", opt=EVERYBODY)
async def read_calendar(desk: NamedDependency[Desk], address: FromPath[str]) -> Response[bytes]:
    """The calendar behind a secret address; no token is asked for: the address is one."""
    if not address.endswith(ENDING) or len(address) > LONGEST_SECRET:
        raise NotFoundError("calendar", "at this address")
    told = await desk.feeds.read(address.removesuffix(ENDING))
    headers = {"Cache-Control": "private, no-store", "Content-Disposition": "inline"}
    return Response(told, media_type="text/calendar", headers=headers)
