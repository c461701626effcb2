"""Openings: what is wanted and when, and where it fits."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Self

from pydantic import Field, model_validator

from schemas.base import Document
from schemas.booking import Request
from schemas.plan import PlannedBreak, PlannedVisit
from schemas.ranking import RankingWeights
from schemas.units import Identifier, Minutes, Number, Text, Timestamp
from schemas.windows import TimeWindow


class Wish(StrEnum):
    """What matters most to the client."""

    SOONEST = "soonest"
    """The earliest start."""
    ANY_HOUR = "any-hour"
    """The earliest day, at whatever hour is best for the book."""
    EARLY_FINISH = "early-finish"
    SHORTEST = "shortest"


class OpeningsQuestion(Document):
    """A request, and how to rank what fits."""

    request: Request
    wish: Wish = Wish.SOONEST
    limit: Annotated[int, Field(ge=1, le=50), Number] = 3
    weights: RankingWeights | None = None
    """To try other weights than the book's."""


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
    breaks: Annotated[tuple[PlannedBreak, ...], Field(max_length=100)]
    """The breaks of the crew on that day once this is sold."""
    cost: Annotated[int, Field(ge=-1_000_000_000, le=1_000_000_000)]
    """What it costs the book, lower is better; the reasons say why."""
    reasons: Annotated[tuple[Text, ...], Field(max_length=100)]


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


class Waiting(Document):
    """A request on the waiting list."""

    request: Request
    since: Timestamp
    """Since when she waits."""
    wish: Wish = Wish.SOONEST


class GapQuestion(Document):
    """A booking that leaves its place, and who waits for one."""

    freed: Identifier
    """A booking of the day book with a place, called off or not: the gap is what it leaves."""
    waiting: Annotated[tuple[Waiting, ...], Field(min_length=1, max_length=200)]

    @model_validator(mode="after")
    def _each_waits_once(self) -> Self:
        names = [each.request.id for each in self.waiting]
        if len(set(names)) < len(names) or self.freed in names:
            raise ValueError("a request waits twice, or waits for the place it leaves itself")
        return self


class GapTaker(Document):
    """Somebody who could take a gap, or part of it."""

    request: Identifier
    since: Timestamp
    opening: Opening
    """The best place for her that meets the gap, if she is asked first."""
    only_now: bool
    """Without the gap there was no place for her at all."""
    after_others: Opening | None
    """The best one once all before her have taken theirs; none where they leave no place."""


class GapTakers(Document):
    """Who could take a gap, in fair order: who has waited longest is asked first."""

    freed: Identifier
    gap: TimeWindow
    takers: tuple[GapTaker, ...]
    without_place: tuple[Identifier, ...]
    """Who waits on, in the same order."""


class Manner(StrEnum):
    """How the visits of a group lie to each other."""

    SIDE_BY_SIDE = "side-by-side"
    """All start at one time, each on her own chair with her own crew."""
    ONE_AFTER_ANOTHER = "one-after-another"
    """Each starts when the one before her is done, in the order in which they are asked for."""


class GroupQuestion(Document):
    """Requests of people who come together, and how to rank what fits them all."""

    requests: Annotated[tuple[Request, ...], Field(min_length=2, max_length=4)]
    manner: Manner = Manner.SIDE_BY_SIDE
    most_wait: Minutes = 15
    """One after another: minutes that may pass between two of them."""
    wish: Wish = Wish.SOONEST
    """Of the first of them; the others follow her."""
    limit: Annotated[int, Field(ge=1, le=10), Number] = 3

    @model_validator(mode="after")
    def _each_comes_once(self) -> Self:
        if len({each.id for each in self.requests}) < len(self.requests):
            raise ValueError("a request is in the group twice")
        return self


class GroupOpening(Document):
    """Places for a whole group that can be sold together as the book stands."""

    start: Timestamp
    finish: Timestamp
    """When the last of them is done."""
    openings: tuple[Opening, ...]
    """One for each request, in their order. Each is worked out with those before it sold, so its
    breaks hold once they are."""
    cost: int


class GroupAnswer(Document):
    """Ranked places for a group; with none, who of them would find no place even alone."""

    openings: tuple[GroupOpening, ...]
    without_place: tuple[Identifier, ...] = ()
