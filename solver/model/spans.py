"""Keep a visit inside one of several spans."""

from __future__ import annotations

from collections.abc import Iterable

from ortools.sat.python import cp_model

from solver.model.facts import Span
from solver.model.variables import DayModel, VisitVar


def within(model: DayModel, visit: VisitVar, spans: Iterable[Span], rule: str, reason: str) -> None:
    """Post that the whole visit lies inside one span; `reason` says it where none can hold it.

    A declined visit keeps to a span too: it has no length, so this costs nothing and keeps the
    domains tight.
    """
    cp = model.cp
    low, high = model.day.horizon
    clipped = sorted({(max(low, start), min(high, end)) for start, end in spans})
    usable = [(start, end) for start, end in clipped if start < end]
    starts = cp_model.Domain.from_intervals([[start, end - 1] for start, end in usable])
    if not model.narrow(visit, starts, rule, reason):
        return
    if len(usable) == 1:
        cp.add(visit.end <= usable[0][1])
        return
    choices = []
    for start, end in usable:
        choice = model.new_bool(f"{visit.facts.id} in [{start}, {end})")
        cp.add(visit.start >= start).only_enforce_if(choice)
        cp.add(visit.end <= end).only_enforce_if(choice)
        choices.append(choice)
    cp.add_exactly_one(choices)
