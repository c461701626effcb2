"""Chairs that no rule of a day tells apart are one group, so that the search is spared their names.

A rule that looks at tags splits by tag. One that looks at a chair by name splits off that chair.
"""

from __future__ import annotations

from collections.abc import Iterable

from schemas.booking import Booking, Request
from schemas.daybook import DayBook
from schemas.resources import Chair
from schemas.windows import TimeWindow
from solver.model.facts import ChairGroup, Day, Span
from solver.model.scope import concerns_chair

BY_TAG = ("turnaround", "resource-closed", "no-small-holes")
"""Rules that may concern some chairs by their tags."""
BY_NAME = ("no-small-holes",)
"""Rules that ask what happens on one chair after the other."""
_Key = tuple[frozenset[str], frozenset[str], tuple[Span, ...], str | None]


def chair_groups(
    day_book: DayBook,
    day: Day,
    windows: list[TimeWindow],
    visits: Iterable[Booking | Request],
) -> tuple[ChairGroup, ...]:
    """The groups of a day with these opening windows, in the order of the day book's chairs."""
    hours = TimeWindow(start=windows[0].start, end=windows[-1].end)
    scope = {
        tag
        for code in BY_TAG
        for setting in day.settings_of(code)
        for tag in setting.scope.chair_tags
    }
    kept = _kept(day, visits)
    alike: dict[_Key, list[str]] = {}
    for chair in day_book.chairs:
        if chair.retired:
            continue
        # A closure is widened to the grid: the chair is free only on whole steps.
        closed = sorted(
            (day.down(start), day.up(end))
            for start, end in (
                day.frame.span(closure.window)
                for closure in day_book.closures
                if closure.chair == chair.id and closure.window.overlaps(hours)
            )
        )
        name = chair.id if chair.id in kept or _by_name(day, chair) else None
        tags = frozenset(chair.tags)
        key = (frozenset(chair.features), tags & scope, tuple(closed), name)
        alike.setdefault(key, []).append(chair.id)
    return tuple(
        ChairGroup(index, tuple(chairs), features, tags, closed)
        for index, ((features, tags, closed, _), chairs) in enumerate(alike.items())
    )


def _kept(day: Day, visits: Iterable[Booking | Request]) -> set[str]:
    """Chairs that somebody has already, where it counts as a change to take another."""
    if not day.settings_of("fewest-changes"):
        return set()
    placed = (visit.placed for visit in visits if isinstance(visit, Booking))
    return {each.chair for each in placed if each is not None and each.chair is not None}


def _by_name(day: Day, chair: Chair) -> bool:
    return any(
        concerns_chair(setting, chair.tags) for code in BY_NAME for setting in day.settings_of(code)
    )
