"""Work: the phases a visit is made of, before anybody is named."""

from __future__ import annotations

from enum import StrEnum
from typing import Self

from pydantic import model_validator

from schemas.base import Document
from schemas.units import Flag, Identifier, Level, WorkMinutes

TAKE_DOWN = "take-down"
WASH = "wash"
HAIR_PREP = "hair-prep"
BRAIDING = "braiding"
FINISH = "finish"


class Performer(StrEnum):
    """Who carries a phase."""

    LEAD = "lead"
    """The lead of the visit and nobody else."""
    CREW = "crew"
    """The lead, or one assistant, whoever is able and free."""


class Place(StrEnum):
    """What a phase occupies besides hands."""

    CHAIR = "chair"
    BASIN = "basin"
    """The basin is taken for the phase; the chair stays the client's."""
    NOWHERE = "nowhere"
    """Hands alone, for example hair prep at the side table."""


class PhaseWork(Document):
    """One phase of a visit, in its order.

    `minutes` is the work of one person of pace 1 alone. A person of another pace takes
    `minutes * pace`, rounded up to the grid. A shared phase obeys
    `duration + sum(help_rate * help) = work + break taken inside`.
    """

    kind: Identifier
    minutes: WorkMinutes
    skill: Identifier
    level: Level = 1
    performer: Performer = Performer.LEAD
    place: Place = Place.CHAIR
    shared: Flag = False
    """Assistants with `help_skill` may work beside the performer."""
    help_skill: Identifier | None = None
    breakable: Flag = False
    """The performer may take her meal break inside, which stretches the phase."""

    @model_validator(mode="after")
    def _help_only_where_shared(self) -> Self:
        if self.help_skill is not None and not self.shared:
            raise ValueError("help_skill is for a shared phase")
        if self.shared and self.help_skill is None:
            raise ValueError("a shared phase states the help_skill it asks of an assistant")
        return self
