"""Openings that were offered, and the one that is chosen.

The page carries the request and its openings, as a client of the API would: the service judges what
comes back like any other opening, so nothing has to be remembered between two clicks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, TypeVar

from pydantic import Field, ValidationError

from api.pages.desk.counter import Desktop
from api.pages.desk.drawing import Extra, Shown
from api.pages.forms import Answers, Filled, filled
from api.pages.frame import PageRequest
from api.services.errors import UnprocessableError
from api.services.opening_hours import local_day
from schemas.base import Document
from schemas.booking import Request
from schemas.openings import Opening
from solver.errors import Fault

OFFERED = 5
Json = Annotated[str, Field(max_length=60_000)]
D = TypeVar("D", bound=Document)


class Chosen(Answers):
    """One of the openings, and what to do with it."""

    asked: Json
    opening: tuple[Json, ...]
    chosen: Annotated[int, Field(ge=0, le=49)] = 0
    client: Annotated[str, Field(max_length=200, pattern=r"^[^\x00-\x1f\x7f]+$")] | None = None
    minutes: Annotated[int, Field(ge=1, le=60)] = 10


@dataclass(frozen=True)
class Choice:
    """As it was sent, and as documents."""

    form: Filled[Chosen]
    request: Request
    openings: tuple[Opening, ...]
    number: int

    @property
    def opening(self) -> Opening:
        return self.openings[self.number]


def document(model: type[D], text: str) -> D:
    """Raises UnprocessableError for what did not come from a page of ours."""
    try:
        return model.model_validate_json(text)
    except ValidationError as wrong:
        raise UnprocessableError(Fault("", "the page is an old one: begin again")) from wrong


async def chosen(request: PageRequest) -> Choice:
    form = await filled(request, Chosen)
    asked = document(Request, form.typed.get("asked", ""))
    openings = tuple(document(Opening, each) for each in form.typed.get("opening", ()))
    number = 0 if form.read is None else form.read.chosen
    if number >= len(openings):
        raise UnprocessableError(Fault("", "choose one of the openings"))
    if form.read is not None and form.read.client is not None:
        asked = asked.model_copy(update={"client": form.read.client})
    return Choice(form, asked, openings, number)


def offered(request: Request, openings: Sequence[Opening], number: int = 0) -> dict[str, Any]:
    """What the list of openings shows."""
    return {
        "offers": [(each, each.model_dump_json()) for each in openings],
        "wanted": request,
        "asked_json": request.model_dump_json(),
        "number": number,
        "choice": Filled(),
        "obstacles": (),
    }


def looked_at(top: Desktop, opening: Opening, number: int, client: str) -> tuple[date, Shown]:
    """The opening's day, and the opening drawn on it like a ghost."""
    note = f"opening {number + 1}"
    ghost = Extra(opening.visit, client, "ghost", note, opening.breaks)
    day = local_day(opening.start, top.salon.zone)
    return day, Shown(extras=(ghost,), kept=f"This shows {note}.")
