"""A client at the desk: her style reckoned as it is described, places for it, a hold, a booking."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from litestar import Controller, post
from litestar.di import NamedDependency
from litestar.response import Template
from pydantic import Field

from api.controllers.parameters import Name
from api.pages.desk.asking import NOBODY_YET, Ask, request_of, windows
from api.pages.desk.counter import Desktop
from api.pages.desk.places import (
    OFFERED,
    Choice,
    Chosen,
    Json,
    chosen,
    document,
    looked_at,
    offered,
)
from api.pages.desk.styles import FIELDS, WORDS_OF, Described, question, style_of
from api.pages.desk.visits import visit_panel
from api.pages.forms import Answers, Filled, filled
from api.pages.frame import PageRequest, part
from api.services.desk import Desk
from api.services.errors import OpeningGoneError, UnprocessableError
from api.services.opening_hours import local_day
from schemas.booking import Request
from schemas.dealings import NewBooking
from schemas.explanations import WhyNotQuestion
from schemas.holds import NewHold
from schemas.openings import OpeningsQuestion
from schemas.quantities import PartingMapQuestion, TakeOffQuestion
from solver.errors import InputError

WAYS_SECONDS = 10.0
"""How long it may take to find what would make room."""
_FIELDS = {
    "/request/windows": "first",
    "/request/required_lead": "lead",
    "/request/preferred_lead": "lead",
    "/request/client": "client",
    "/request/take_off/menu": "menu",
    **{
        pointer.replace("/style", "/request/take_off/style", 1): name
        for pointer, name in FIELDS.items()
    },
}
"""Where the faults of a request belong among the fields."""


class Named(Answers):
    """Who books a place that is held."""

    client: Annotated[str, Field(max_length=200)]


class Reasoned(Answers):
    """A request for which no place was found."""

    asked: Json


class ClientPages(Controller):
    path = "/desk"

    @post("/take-off", operation_id="takeOff", status_code=200)
    async def take_off(self, desk: NamedDependency[Desk], request: PageRequest) -> Template:
        """Minutes, hair and the parting of what is described so far."""
        asked, form = question(await filled(request, Described))
        if asked is None:
            return _unreckoned(form)
        facts = asked.model_dump(exclude_unset=True)
        try:
            answer = await desk.quantities.take_off(TakeOffQuestion.model_validate(facts))
            drawn = await desk.quantities.draw(PartingMapQuestion.model_validate(facts))
        except (UnprocessableError, InputError) as wrong:
            form = form.told(wrong.faults, FIELDS)
            return _unreckoned(form)
        materials = {each.material.id: each.material.name for each in await desk.shelf.all()}
        return part(
            "desk/take_off.html", answer=answer, drawn=drawn, materials=materials, form=form
        )

    @post("/openings", operation_id="findOpenings", status_code=200)
    async def openings(self, desk: NamedDependency[Desk], request: PageRequest) -> Template:
        """Places for what is described, the first of them drawn on its day."""
        top = await Desktop.of(request, desk)
        asked, form = question(await filled(request, Ask))
        said = form.read
        day = top.today if said is None else said.first
        if said is None or asked is None:
            return await top.answer("ask", day, status=422, **await top.asked(day, form))
        suits = windows(said, top.salon)
        if not suits:
            form = form.with_faults({"first": "The salon is closed then: choose other days."})
            return await top.answer("ask", day, status=422, **await top.asked(day, form))
        try:
            style, entry = style_of(asked, await top.menu())
            wanted = request_of(said, style, entry, suits)
            found = await desk.openings.find(
                OpeningsQuestion(request=wanted, wish=said.wish, limit=OFFERED)
            )
        except UnprocessableError as wrong:
            form = form.told(wrong.faults, _FIELDS)
            return await top.answer("ask", day, status=422, **await top.asked(day, form))
        facts = offered(wanted, found.openings) | {"obstacles": found.obstacles}
        shown = None
        if found.openings:
            day, shown = looked_at(top, found.openings[0], 0, wanted.client)
        return await top.answer("ask", day, shown=shown, **await top.asked(day, form), **facts)

    @post("/look", operation_id="findOpenings", status_code=200)
    async def look(self, desk: NamedDependency[Desk], request: PageRequest) -> Template:
        """The opening that is chosen, drawn on its day."""
        top, choice = await Desktop.of(request, desk), await chosen(request)
        day, shown = looked_at(top, choice.opening, choice.number, choice.request.client)
        sheet, drawing = await top.drawn(day, shown)
        return part("desk/the_day.html", d=drawing, sheet=sheet, swap=False)

    @post("/holds", operation_id="holdOpening", status_code=200)
    async def hold(self, desk: NamedDependency[Desk], request: PageRequest) -> Template:
        top, choice = await Desktop.of(request, desk), await chosen(request)
        if choice.form.read is None:
            return await _again(top, choice)
        try:
            held = await desk.holds.create(
                NewHold(
                    request=choice.request,
                    opening=choice.opening,
                    minutes=choice.form.read.minutes,
                )
            )
        except OpeningGoneError as gone:
            return await _gone(top, choice, gone)
        day = local_day(held.opening.start, top.salon.zone)
        return await top.answer(
            "held", day, redraw=True, held=held, form=Filled(), nobody=NOBODY_YET
        )

    @post("/bookings", operation_id="createBooking", status_code=200)
    async def book(self, desk: NamedDependency[Desk], request: PageRequest) -> Template:
        top, choice = await Desktop.of(request, desk), await chosen(request)
        if choice.form.read is not None and choice.request.client == NOBODY_YET:
            nameless = choice.form.with_faults({"client": "Ask her name to book."})
            choice = replace(choice, form=nameless)
        if choice.form.read is None:
            return await _again(top, choice)
        try:
            new = NewBooking(request=choice.request, opening=choice.opening)
            record = (await desk.bookings.create(new)).document
        except OpeningGoneError as gone:
            return await _gone(top, choice, gone)
        return await visit_panel(top, record.id, said="Booked.", redraw=True)

    @post("/holds/{id:str}/booking", operation_id="bookHold", status_code=200)
    async def book_hold(
        self, desk: NamedDependency[Desk], request: PageRequest, name: Name
    ) -> Template:
        top, form = await Desktop.of(request, desk), await filled(request, Named)
        if form.read is None or form.read.client == NOBODY_YET:
            held = await desk.holds.read(name)
            form = form.with_faults({"client": "Ask her name to book."})
            day = local_day(held.opening.start, top.salon.zone)
            return await top.answer(
                "held", day, status=422, held=held, form=form, nobody=NOBODY_YET
            )
        record = (await desk.holds.book(name, form.read.client)).document
        return await visit_panel(top, record.id, said="Booked.", redraw=True)

    @post("/holds/{id:str}/release", operation_id="releaseHold", status_code=200)
    async def release(
        self, desk: NamedDependency[Desk], request: PageRequest, name: Name
    ) -> Template:
        top = await Desktop.of(request, desk)
        day = local_day((await desk.holds.read(name)).opening.start, top.salon.zone)
        await desk.holds.release(name)
        return await top.answer("ask", day, redraw=True, **await top.asked(day))

    @post("/why-not", operation_id="askWhyNot", status_code=200)
    async def why_not(self, desk: NamedDependency[Desk], request: PageRequest) -> Template:
        """What stands in the way of a request, and what would make room: each change is proved."""
        form = await filled(request, Reasoned)
        wanted = document(Request, form.typed.get("asked", ""))
        told = await desk.reasons.why_not(WhyNotQuestion(request=wanted, seconds=WAYS_SECONDS))
        return part("desk/why_not.html", told=told)


def _unreckoned(form: Filled[Described]) -> Template:
    faults = {WORDS_OF.get(name, name): told for name, told in form.faults.items()}
    return part("desk/take_off.html", answer=None, faults=faults, status=422)


async def _again(top: Desktop, choice: Choice) -> Template:
    """The same openings once more, with what is wrong beside its field."""
    facts = offered(choice.request, choice.openings, choice.number) | {"choice": choice.form}
    day, shown = looked_at(top, choice.opening, choice.number, choice.request.client)
    return await top.answer("places", day, shown=shown, status=422, **facts)


async def _gone(top: Desktop, choice: Choice, gone: OpeningGoneError) -> Template:
    """The opening cannot be had any more: what else there is."""
    sentence = f"{str(gone)[:1].upper()}{str(gone)[1:]}."
    form = Filled[Chosen](typed=choice.form.typed, faults={"": sentence})
    facts = offered(choice.request, gone.openings) | {"choice": form}
    day = local_day(choice.opening.start, top.salon.zone)
    shown = None
    if gone.openings:
        day, shown = looked_at(top, gone.openings[0], 0, choice.request.client)
    return await top.answer("places", day, shown=shown, redraw=True, status=409, **facts)
