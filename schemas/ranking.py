"""What the owner of a salon minds when places are ranked, as weights she sets herself."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from schemas.base import Document
from schemas.units import Number

Percent = Annotated[int, Field(ge=0, le=400), Number]
"""Minutes of cost for a hundred minutes; 0 where it does not matter."""


class RankingWeights(Document):
    """How much each harm to the book counts among places that a client wants alike.

    The defaults are house figures: common practice, no source.
    """

    lost_percent: Percent = 100
    """For what a lead's free stretch can serve no more: its minutes count by the share of the
    known work, in minutes, that fits into it and that she masters, before and after."""
    hole_percent: Percent = 100
    """For minutes left on a chair that no known visit fits, where chairs are no more than leads."""
    split_minutes: Annotated[int, Field(ge=0, le=240), Number] = 15
    """For cutting a chair's free stretch in two, where chairs are no more than leads; minutes."""
    scarce_percent: Percent = 20
    """For minutes of the only lead for a skill, where the request does not ask for it."""
    assistant_percent: Percent = 10
    """For minutes of an assistant, who could serve another head."""
    morning_percent: Percent = 0
    """For minutes of a shorter visit in a lead's long free morning, where none as long is left."""
    morning_minutes: Annotated[int, Field(ge=60, le=720), Number] = 300
    """How long a free stretch that begins before the middle of the opening day is a long morning,
    in minutes."""
