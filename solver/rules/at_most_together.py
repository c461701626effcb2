"""No more than `visits` clients of a kind are in the salon at one time.

The kind is given by tags, for example two children; no tag counts everybody. A client is there from
the first to the last minute of her visit; one who leaves when another comes is not there with her.
A day has one breach at most, told at its fullest moment: its size is how many are too many then.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from schemas.rules import RuleSetting
from schemas.units import Number
from solver.rules.reading import Reading, Span
from solver.rules.rule import Breach, Parameters, Rule, concerns

MOST_NAMED = 5
"""Clients named in one sentence; more are counted."""


class AtMostTogether(Parameters):
    """How many are too many."""

    visits: Annotated[int, Field(ge=0, le=100), Number] = 2
    """Visits at one time."""


def _check(reading: Reading, parameters: AtMostTogether, setting: RuleSetting) -> Iterator[Breach]:
    days: dict[str, list[tuple[Span, str]]] = defaultdict(list)
    for planned in reading.plan.visits:
        visit = reading.visits.get(planned.visit)
        if concerns(visit.tags if visit else (), setting.scope.visit_tags):
            stay = reading.occupied(planned)
            days[reading.day(stay[0])].append((stay, planned.visit))
    for stays in days.values():
        together = _fullest(stays)
        excess = len(together) - parameters.visits
        if excess > 0:
            yield _breach(reading, parameters, setting, together, excess)


def _fullest(stays: list[tuple[Span, str]]) -> list[tuple[Span, str]]:
    """Who is there at the fullest moment of a day, the first if there are several."""
    fullest: list[tuple[Span, str]] = []
    present: list[tuple[Span, str]] = []
    for stay in sorted(stays):
        present = [each for each in present if each[0][1] > stay[0][0]]
        present.append(stay)
        if len(present) > len(fullest):
            fullest = list(present)
    return fullest


def _breach(
    reading: Reading,
    parameters: AtMostTogether,
    setting: RuleSetting,
    together: list[tuple[Span, str]],
    excess: int,
) -> Breach:
    start = max(first for (first, _), _ in together)
    end = min(last for (_, last), _ in together)
    names = [reading.client(visit) for _, visit in together]
    named = ", ".join(names[:MOST_NAMED])
    named += f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    kind = f" ({' or '.join(setting.scope.visit_tags)})" if setting.scope.visit_tags else ""
    return Breach(
        detail=f"{len(together)} clients{kind} are there at one time, "
        f"{reading.when(start, end)}: {named}; at most {parameters.visits} may be.",
        remedy=f"Move {excess} of them to another time.",
        visits=tuple(dict.fromkeys(visit for _, visit in together)),
        window=reading.window(start, end),
        size=excess,
    )


RULE = Rule(
    code="at-most-together",
    sentence="Only so many clients of a kind are in the salon at one time.",
    parameters=AtMostTogether,
    check=_check,
    scopes=("visit_tags",),
    source="House figure",
    house_on=False,
    repeatable=True,
)
