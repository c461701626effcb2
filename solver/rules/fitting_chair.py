"""A visit sits in one chair that exists, has what the client needs and is not closed.

A visit whose phases need hands alone (`nowhere`) has no chair.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator

from schemas.plan import PlannedVisit
from schemas.rules import RuleSetting
from schemas.work import Place
from solver.rules.reading import Reading, span
from solver.rules.rule import Breach, NoParameters, Rule

_Closed = dict[str, list[tuple[int, int, str]]]


def _check(reading: Reading, _: NoParameters, __: RuleSetting) -> Iterator[Breach]:
    closed: _Closed = defaultdict(list)
    for closure in reading.day_book.closures:
        closed[closure.chair].append((*span(closure.window), closure.reason))
    for planned in reading.plan.visits:
        yield from _chair(reading, planned, closed)


def _chair(reading: Reading, planned: PlannedVisit, closed: _Closed) -> Iterator[Breach]:
    start, end = reading.occupied(planned)
    for problem, remedy in _problems(reading, planned, closed, start, end):
        yield Breach(
            detail=f"{problem}, {reading.when(start, end)}.",
            remedy=remedy,
            visits=(planned.visit,),
            window=reading.window(start, end),
        )


def _problems(
    reading: Reading, planned: PlannedVisit, closed: _Closed, start: int, end: int
) -> Iterator[tuple[str, str]]:
    visit = reading.visits.get(planned.visit)
    client = reading.client(planned.visit)
    if planned.chair is None:
        if visit is not None and any(work.place is not Place.NOWHERE for work in visit.phases):
            yield f"{client} needs a chair and has none", "Give the visit a free chair."
        return
    chair, name = reading.chairs.get(planned.chair), reading.chair(planned.chair)
    if visit is not None and all(work.place is Place.NOWHERE for work in visit.phases):
        yield f"{client}'s visit needs no chair and takes {name}", "Leave the chair out."
    if chair is None or chair.retired:
        yield f"{client} sits in {name}, which is not in use", "Give the visit a chair in use."
        return
    lacking = [] if visit is None else [f for f in visit.chair_features if f not in chair.features]
    if lacking:
        needs = " and ".join(lacking)
        yield f"{client} needs a chair that is {needs}; {name} is not", f"Give a chair: {needs}."
    spells = sorted(closed.get(planned.chair, []))
    for first, last, reason in spells[: bisect_left(spells, (end,))]:
        if start < last:
            yield (
                f"{client} sits in {name} while it is closed ({reason}) from {reading.at(first)} "
                f"to {reading.at(last)}",
                "Give the visit another chair or another time.",
            )


RULE = Rule(
    code="fitting-chair",
    sentence="Every client sits in a chair that is in use, is open and has what she needs.",
    parameters=NoParameters,
    check=_check,
    always_hard=True,
)
