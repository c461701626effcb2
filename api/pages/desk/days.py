"""The day as the desk sees it, and the stream that keeps it live."""

from __future__ import annotations

from collections.abc import AsyncIterator

from litestar import Controller, get
from litestar.di import NamedDependency
from litestar.params import FromPath
from litestar.response import ServerSentEvent, ServerSentEventMessage, Template

from api.controllers.answers import day
from api.pages.desk.counter import Desktop
from api.pages.frame import PageRequest, page, part
from api.services.desk import Desk
from api.services.errors import NotFoundError
from api.services.watching import Word


class DayPages(Controller):
    path = "/"

    @get("/", operation_id="readDay")
    async def today(self, desk: NamedDependency[Desk], request: PageRequest) -> Template:
        try:
            top = await Desktop.of(request, desk)
        except NotFoundError:
            return page("unfurnished.html", title="The day", salon=None, here="/")
        return await top.answer("ask", top.today, **await top.asked(top.today))

    @get("/days/{date:str}", operation_id="readDay")
    async def a_day(
        self, desk: NamedDependency[Desk], request: PageRequest, date: FromPath[str]
    ) -> Template:
        shown, top = day(date, "date"), await Desktop.of(request, desk)
        return await top.answer("ask", shown, **await top.asked(shown))

    @get("/days/{date:str}/strands", operation_id="readDay")
    async def strands(
        self, desk: NamedDependency[Desk], request: PageRequest, date: FromPath[str]
    ) -> Template:
        """The drawing alone, for a page that is told that the book has changed."""
        top = await Desktop.of(request, desk)
        sheet, drawing = await top.drawn(day(date, "date"))
        return part("desk/the_day.html", d=drawing, sheet=sheet, swap=False)

    @get("/live", operation_id="readDay")
    async def live(self, desk: NamedDependency[Desk]) -> ServerSentEvent:
        """Server-sent events: `book` when the book has changed, `minute` when one has begun."""
        return ServerSentEvent(_told(desk.watching.words()))


async def _told(words: AsyncIterator[Word]) -> AsyncIterator[ServerSentEventMessage]:
    yield ServerSentEventMessage(comment="listening", data=None)
    async for word in words:
        yield ServerSentEventMessage(event=word.value, data=word.value)
