"""The whole visit lies inside one opening window; leaving at closing time is in time."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator

from schemas.rules import RuleSetting
from solver.rules.reading import Reading, Span, span
from solver.rules.rule import Breach, NoParameters, Rule


def _check(reading: Reading, _: NoParameters, __: RuleSetting) -> Iterator[Breach]:
    hours = sorted(span(window) for window in reading.day_book.open)
    for planned in reading.plan.visits:
        start, end = reading.occupied(planned)
        before = _last_opening(hours, start)
        if before is not None and end <= before[1]:
            continue
        client = reading.client(planned.visit)
        if before is not None and start < before[1]:
            detail = f"{client} is here {reading.when(start, end)}; we close at "
            detail += f"{reading.at(before[1])}."
            remedy = f"Start {end - before[1]} min earlier, or add an assistant."
        else:
            detail = f"{client} starts at {reading.at(start)}, when we are closed."
            later = next((first for first, _ in hours if first > start), None)
            remedy = "Choose a day on which we are open."
            if later is not None:
                remedy = f"The next opening is at {reading.at(later)}."
        yield Breach(
            detail=detail,
            remedy=remedy,
            visits=(planned.visit,),
            window=reading.window(start, end),
        )


def _last_opening(hours: list[Span], start: int) -> Span | None:
    """The opening window that begins last among those begun by `start`."""
    index = bisect_right(hours, (start, float("inf")))
    return hours[index - 1] if index else None


RULE = Rule(
    code="opening-hours",
    sentence="Every client comes and goes within one day's opening hours.",
    parameters=NoParameters,
    check=_check,
    always_hard=True,
)
