"""A chair in use is left free for long enough to sell, or not at all.

A hole is free time on a chair, within one opening, next to at least one visit: between two visits,
before the first or after the last. It is small if it is longer than `spare` minutes, which cleaning
and a breath of air take, and shorter than `minutes`. What a closure takes is not free, and it takes
whole steps of the grid. A chair that nobody uses has no hole.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import MINUTES_PER_DAY, Number
from solver.rules.reading import Reading, Span, span
from solver.rules.rule import Breach, Parameters, Rule, concerns
from solver.rules.stretches import Stretch, chair_stretches, without


class NoSmallHoles(Parameters):
    """Which holes are too small to sell and too long to waste."""

    minutes: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 90
    """A hole shorter than this cannot be sold."""
    spare: Annotated[int, Field(ge=0, le=MINUTES_PER_DAY), Number] = 15
    """A hole of at most so many minutes is none."""


def _check(reading: Reading, parameters: NoSmallHoles, setting: RuleSetting) -> Iterator[Breach]:
    closed: dict[str, list[Span]] = defaultdict(list)
    for closure in reading.day_book.closures:
        closed[closure.chair].append(_whole_steps(reading, span(closure.window)))
    openings = [span(window) for window in reading.day_book.open]
    for chair_id, stays in chair_stretches(reading).items():
        chair = reading.chairs.get(chair_id)
        if chair is None or not concerns(chair.tags, setting.scope.chair_tags):
            continue
        taken = [(stay.start, stay.end) for stay in stays] + closed[chair_id]
        for opening in sorted(openings):
            for start, end in without(*opening, taken):
                beside = _beside(stays, start, end)
                if beside and parameters.spare < end - start < parameters.minutes:
                    yield _breach(reading, parameters, chair_id, (start, end), beside)


def _whole_steps(reading: Reading, closure: Span) -> Span:
    step = reading.day_book.grid.minutes
    (start, end), (first, last) = closure, (reading.local(at) for at in closure)
    return (
        start - (first.hour * 60 + first.minute) % step,
        end + -(last.hour * 60 + last.minute) % step,
    )


def _beside(stays: list[Stretch], start: int, end: int) -> tuple[str, ...]:
    """The visits that the free time touches."""
    near = [stay.visit for stay in stays if stay.end == start or stay.start == end]
    return tuple(dict.fromkeys(visit for visit in near if visit is not None))


def _breach(
    reading: Reading, parameters: NoSmallHoles, chair: str, hole: Span, beside: tuple[str, ...]
) -> Breach:
    start, end = hole
    clients = " and ".join(reading.client(visit) for visit in beside)
    return Breach(
        detail=f"{reading.chair(chair)} is free for {end - start} min beside {clients}, "
        f"{reading.when(start, end)}; less than {parameters.minutes} min can hardly be sold.",
        remedy=f"Close the hole to at most {parameters.spare} min, or widen it to "
        f"{parameters.minutes}.",
        visits=beside,
        window=reading.window(start, end),
    )


RULE = Rule(
    code="no-small-holes",
    sentence="A chair in use is left free for long enough to sell, or not at all.",
    parameters=NoSmallHoles,
    check=_check,
    scopes=("chair_tags",),
    house_hard=False,
    house_weight=2,
    source="House figure",
    house_on=False,
    only_soft=True,
)
