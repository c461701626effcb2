"""Openings: what is wanted and when, and where it fits."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import Field

from schemas.base import Document
from schemas.booking import Request
from schemas.plan import PlannedBreak, PlannedVisit
from schemas.units import Identifier, Minutes, Number, Text, Timestamp


class Wish(StrEnum):
    """What matters most to the client."""

    SOONEST = "soonest"
    EARLY_FINISH = "early-finish"
    SHORTEST = "shortest"


class OpeningsQuestion(Document):
    """A request, and how to rank what fits."""

    request: Request
    wish: Wish = Wish.SOONEST
    limit: Annotated[int, Field(ge=1, le=50), Number] = 3


class Opening(Document):
    """A place in the book that can be sold as it stands."""

    id: Identifier
    start: Timestamp
    finish: Timestamp
    chair: Identifier | None
    lead: Identifier
    assistant: Identifier | None
    help_minutes: Minutes
    visit: PlannedVisit
    breaks: tuple[PlannedBreak, ...]
    """The breaks of the crew on that day once this is sold."""
    cost: int
    """What it costs the book, lower is better; the reasons say why."""
    reasons: tuple[Text, ...]


class Obstacle(Document):
    """A rule in the way of a request, and how many places it closed."""

    rule: Identifier
    sentence: Text
    places: Annotated[int, Field(ge=0)]


class OpeningsAnswer(Document):
    """Ranked openings, and the rules in the way of others."""

    request: Identifier
    openings: tuple[Opening, ...]
    found: Annotated[int, Field(ge=0)]
    """Starts that fit with some crew and chair, before ranking and before rules that only the
    checker knows."""
    obstacles: tuple[Obstacle, ...] = ()
    """With no opening, every rule in the way. Otherwise only rules of the house that kept back
    places which were looked at: the counts are of those."""
