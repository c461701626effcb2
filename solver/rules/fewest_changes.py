"""A booking that has a place keeps it: its start, its chair, its lead and its assistants.

Each of the four that differs is a change of its own weight; the size of a breach is their sum. The
assistants are everybody on the visit but its lead; another set of them is one change. Times within
the visit may move freely. A booking that is not in the plan is another rule's affair.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from schemas.booking import Booking
from schemas.plan import PlannedVisit
from schemas.rules import RuleSetting
from schemas.units import Number
from solver.rules.reading import Reading, minute
from solver.rules.rule import Breach, Parameters, Rule, concerns

Count = Annotated[int, Field(ge=0, le=100), Number]


class FewestChanges(Parameters):
    """What each change counts."""

    start: Count = 1
    """Another start."""
    chair: Count = 1
    """Another chair."""
    lead: Count = 1
    """Another lead."""
    assistants: Count = 1
    """Other assistants, one or several."""


def _check(reading: Reading, parameters: FewestChanges, setting: RuleSetting) -> Iterator[Breach]:
    for planned in reading.plan.visits:
        visit = reading.visits.get(planned.visit)
        if not isinstance(visit, Booking) or visit.placed is None:
            continue
        if not concerns(visit.tags, setting.scope.visit_tags):
            continue
        changes = dict(_changes(reading, visit.placed, planned))
        size = sum(getattr(parameters, name) for name in changes)
        if size:
            start, end = reading.occupied(planned)
            yield Breach(
                detail=f"{reading.client(planned.visit)} is on the book already and gets "
                f"{', '.join(changes.values())}; she is placed {reading.when(start, end)}.",
                remedy="Leave the visit as it was, or tell everybody concerned.",
                visits=(planned.visit,),
                window=reading.window(start, end),
                size=size,
            )


def _changes(
    reading: Reading, before: PlannedVisit, planned: PlannedVisit
) -> Iterator[tuple[str, str]]:
    """What differs, with words for it."""
    was, now = minute(before.window.start), minute(planned.window.start)
    if was != now:
        yield "start", f"{reading.clock(now)} instead of {reading.at(was)}"
    if before.chair != planned.chair:
        old, new = (
            "no chair" if chair is None else reading.chair(chair)
            for chair in (before.chair, planned.chair)
        )
        yield "chair", f"{new} instead of {old}"
    if before.lead != planned.lead:
        yield "lead", f"{reading.person(planned.lead)} instead of {reading.person(before.lead)}"
    if set(before.assistants) != set(planned.assistants):
        old, new = (
            " and ".join(reading.person(each) for each in side.assistants) or "nobody"
            for side in (before, planned)
        )
        yield "assistants", f"{new} to assist instead of {old}"


RULE = Rule(
    code="fewest-changes",
    sentence="A booking that has a place keeps its start, chair, lead and assistants.",
    parameters=FewestChanges,
    check=_check,
    scopes=("visit_tags",),
    house_hard=False,
    house_weight=5,
    source="House figure",
    house_on=False,
    only_soft=True,
)
