"""One visit at the counter: what it is, moving it, calling it off."""

from __future__ import annotations

from datetime import date, time, timedelta
from typing import Any

from litestar import Controller, get, post
from litestar.di import NamedDependency
from litestar.response import Template

from api.controllers.parameters import Name
from api.pages.desk.asking import NOBODY_YET, When, windows
from api.pages.desk.counter import Desktop
from api.pages.desk.drawing import Extra, Shown
from api.pages.desk.places import OFFERED, chosen, looked_at, offered
from api.pages.forms import Answers, Filled, filled
from api.pages.frame import PageRequest
from api.services.desk import Desk
from api.services.errors import NotFoundError, OpeningGoneError, StaleError, UnprocessableError
from api.services.moves import Tried
from api.services.opening_hours import local_day, local_instant
from api.services.ports import Versioned
from api.services.versions import Expectation, tag
from schemas.dealings import BookingChange, BookingRecord
from schemas.holds import Hold
from schemas.openings import Opening
from schemas.plan import PlannedVisit
from schemas.waiting import NewOffer

MOVE_AHEAD = 13
"""Days after her own that are looked at unless the desk says otherwise."""


class Elsewhere(Answers):
    """A place that is named by hand."""

    on: date
    at: time
    chair: str | None = None
    her: str | None = None


class Seen(Answers):
    """Which version of the booking was looked at."""

    version: int


class VisitPages(Controller):
    path = "/visits/{id:str}"

    @get("/", operation_id="readBooking")
    async def visit(
        self, desk: NamedDependency[Desk], request: PageRequest, name: Name
    ) -> Template:
        return await visit_panel(await Desktop.of(request, desk), name)

    @get("/move", operation_id="readBooking")
    async def move_form(
        self, desk: NamedDependency[Desk], request: PageRequest, name: Name
    ) -> Template:
        top, found = await Desktop.of(request, desk), await desk.bookings.read(name)
        return await _moving(top, found)

    @post("/places", operation_id="findOpenings", status_code=200)
    async def places(
        self, desk: NamedDependency[Desk], request: PageRequest, name: Name
    ) -> Template:
        """Where else she fits."""
        top, found = await Desktop.of(request, desk), await desk.bookings.read(name)
        form = await filled(request, When)
        if form.read is None:
            return await _moving(top, found, when=form, status=422)
        suits = windows(form.read, top.salon)
        if not suits:
            closed = form.with_faults({"first": "The salon is closed then: choose other days."})
            return await _moving(top, found, when=closed, status=422)
        try:
            answer = await desk.moves.openings_for(name, suits, form.read.wish, OFFERED)
        except UnprocessableError as wrong:
            told = form.told(wrong.faults, {"/windows": "first", "/request/windows": "first"})
            return await _moving(top, found, when=told, status=422)
        facts = offered(found.document.request, answer.openings) | {"obstacles": answer.obstacles}
        shown, day = None, _day(top, found)
        if answer.openings:
            day, shown = looked_at(top, answer.openings[0], 0, found.document.request.client)
        return await _moving(top, found, when=form, day=day, shown=shown, **facts)

    @post("/elsewhere", operation_id="findOpenings", status_code=200)
    async def elsewhere(
        self, desk: NamedDependency[Desk], request: PageRequest, name: Name
    ) -> Template:
        """What the rules say of a place that is named by hand."""
        top, found = await Desktop.of(request, desk), await desk.bookings.read(name)
        form = await filled(request, Elsewhere)
        if form.read is None:
            return await _moving(top, found, there=form, status=422)
        said = form.read
        minutes = said.at.hour * 60 + said.at.minute
        start = local_instant(said.on, minutes, top.salon.zone)
        try:
            tried = await desk.moves.try_at(name, start, said.chair, said.her)
        except UnprocessableError as wrong:
            told = form.told(wrong.faults, {"/start": "at"})
            return await _moving(top, found, there=told, status=422)
        shown = _compared(found.document, tried.opening, top.salon.zone)
        return await _moving(
            top, found, there=form, day=said.on, shown=shown, tried=tried,
            tried_json=tried.opening.model_dump_json(),
        )  # fmt: skip

    @post("/move", operation_id="changeBooking", status_code=200)
    async def move(self, desk: NamedDependency[Desk], request: PageRequest, name: Name) -> Template:
        top, seen = await Desktop.of(request, desk), await filled(request, Seen)
        choice = await chosen(request)
        if seen.read is None:
            raise StaleError("the page is an old one: open the visit again")
        try:
            expected = Expectation(frozenset({tag(seen.read.version)}))
            await desk.bookings.change(name, BookingChange(opening=choice.opening), expected)
        except (OpeningGoneError, StaleError) as gone:
            found = await desk.bookings.read(name)
            told = Filled[Elsewhere](faults={"": f"{str(gone)[:1].upper()}{str(gone)[1:]}."})
            return await _moving(top, found, there=told, redraw=True, status=409)
        return await visit_panel(top, name, said="Moved. Tell her the new time.", redraw=True)

    @post("/offer", operation_id="offerPlace", status_code=200)
    async def offer(
        self, desk: NamedDependency[Desk], request: PageRequest, name: Name
    ) -> Template:
        """Hold the opening for somebody who waits for a place."""
        top, choice = await Desktop.of(request, desk), await chosen(request)
        try:
            await desk.holds.offer(name, NewOffer(opening=choice.opening))
        except OpeningGoneError as gone:
            found = await desk.bookings.read(name)
            told = Filled[Elsewhere](faults={"": f"{str(gone)[:1].upper()}{str(gone)[1:]}."})
            return await _moving(top, found, there=told, redraw=True, status=409)
        return await visit_panel(top, name, redraw=True)

    @post("/cancellation", operation_id="cancelBooking", status_code=200)
    async def call_off(
        self, desk: NamedDependency[Desk], request: PageRequest, name: Name
    ) -> Template:
        top, seen = await Desktop.of(request, desk), await filled(request, Seen)
        if seen.read is None:
            raise StaleError("the page is an old one: open the visit again")
        await desk.bookings.cancel(name, Expectation(frozenset({tag(seen.read.version)})))
        return await visit_panel(
            top, name, said="Called off: her place is free again.", redraw=True
        )


async def visit_panel(top: Desktop, name: str, *, said: str = "", redraw: bool = False) -> Template:
    """What is known of a visit, or of a place that is held."""
    held = await _held(top, name)
    if held is not None:
        day = local_day(held.opening.start, top.salon.zone)
        return await top.answer(
            "held", day, redraw=redraw, held=held, form=Filled(), nobody=NOBODY_YET
        )
    found = await top.desk.bookings.read(name)
    known = await _facts(top, found)
    return await top.answer("visit", _day(top, found), redraw=redraw, said=said, **known)


async def _held(top: Desktop, name: str) -> Hold | None:
    """The place that is held for her, who may have waited for one."""
    try:
        return await top.desk.holds.read(name)
    except NotFoundError:
        return None


async def _facts(top: Desktop, found: Versioned[BookingRecord]) -> dict[str, Any]:
    record = found.document
    names = {each.id: each.name for each in (await top.desk.staff.page(None, 500))[0]}
    chairs = [(each.id, each.name) for each in (await top.desk.chairs.page(None, 500))[0]]
    return {
        "record": record,
        "version": found.version,
        "place": record.placed or record.freed,
        "names": names,
        "chairs": chairs,
        "chair_names": dict(chairs),
        "over": record.placed is not None and record.placed.window.end <= top.desk.clock.now(),
    }


async def _moving(
    top: Desktop,
    found: Versioned[BookingRecord],
    *,
    when: Filled[When] | None = None,
    there: Filled[Elsewhere] | None = None,
    day: date | None = None,
    shown: Shown | None = None,
    redraw: bool = False,
    status: int = 200,
    tried: Tried | None = None,
    tried_json: str = "",
    **facts: Any,
) -> Template:
    her_day = _day(top, found)
    begin = max(her_day, top.today)
    known = {
        "when": when or Filled(),
        "there": there or Filled(),
        "tried": tried,
        "tried_json": tried_json,
        "begin": begin,
        "end": begin + timedelta(days=MOVE_AHEAD),
        "her_day": her_day,
        "asked_json": found.document.request.model_dump_json(),
        **await _facts(top, found),
        **await top.choices(),
        **facts,
    }
    return await top.answer(
        "move", day or her_day, shown=shown, redraw=redraw, status=status, **known
    )


def _day(top: Desktop, found: Versioned[BookingRecord]) -> date:
    """Her day; of one without a place the first that would suit her."""
    record = found.document
    place: PlannedVisit | None = record.placed or record.freed
    start = place.window.start if place is not None else record.request.windows[0].start
    return local_day(start, top.salon.zone)


def _compared(record: BookingRecord, opening: Opening, zone: str) -> Shown:
    """The place that is tried, and the one she has now."""
    client = record.request.client
    ghost = Extra(opening.visit, client, "ghost", "tried", opening.breaks)
    extras = [ghost]
    assert record.placed is not None
    if local_day(record.placed.window.start, zone) == local_day(opening.start, zone):
        extras.append(Extra(record.placed, client, "was", "now"))
    return Shown(extras=tuple(extras), without=frozenset({record.id}), kept="This is only tried.")
