"""Restate part of a day book in steps of the grid."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, date, timedelta
from zoneinfo import ZoneInfo

from schemas.booking import Booking, Request
from schemas.daybook import DayBook
from schemas.resources import Shift
from schemas.rules import RuleSetting
from schemas.windows import TimeWindow
from solver.frame import Frame
from solver.model.facts import (
    ChairGroup,
    Day,
    DayShift,
    DayVisit,
    GivenBreak,
    Span,
    is_promised,
    number,
    worth,
)
from solver.model.shelf import Shelf, shelves


def build_day(
    day_book: DayBook,
    openings: Iterable[TimeWindow],
    shifts: Iterable[Shift],
    visits: Iterable[Booking | Request],
    settings: Iterable[RuleSetting],
    *,
    before: Mapping[str, date] | None = None,
) -> Day:
    """Restate these openings, shifts and visits of the day book in steps.

    `before` names the visits that earlier days took, each with its day.
    """
    asked = tuple(visits)
    in_force = tuple(setting for setting in settings if setting.on)
    windows = sorted(openings, key=lambda window: window.start)
    grid = day_book.grid.minutes
    zone = ZoneInfo(day_book.zone)
    first = windows[0].start.astimezone(zone)
    past_the_grid = (first.hour * 60 + first.minute) % grid
    origin = windows[0].start.astimezone(UTC) - timedelta(minutes=past_the_grid)
    frame = Frame(origin, zone)
    bare = Day(
        date=first.date(),
        grid=grid,
        arrivals=day_book.grid.arrivals,
        frame=frame,
        openings=(),
        shifts=(),
        groups=(),
        basins=tuple(basin.id for basin in day_book.basins),
        visits=(),
        settings={setting.code: setting for setting in in_force},
        listed=in_force,
    )
    return Day(
        **{
            **bare.__dict__,
            "openings": tuple(bare.steps(window) for window in windows),
            "shifts": _day_shifts(day_book, bare, shifts),
            "groups": _chair_groups(day_book, bare, windows),
            "visits": tuple(_day_visit(index, visit) for index, visit in enumerate(asked)),
            "shelves": _shelves(day_book, bare, asked, before or {}),
        }
    )


def _shelves(
    day_book: DayBook,
    day: Day,
    visits: tuple[Booking | Request, ...],
    before: Mapping[str, date],
) -> dict[str, Shelf]:
    setting = day.setting("hair-on-hand")
    if setting is None:
        return {}
    return shelves(day_book, day.date, visits, before, number(setting, "days", 0))


def _day_shifts(day_book: DayBook, day: Day, shifts: Iterable[Shift]) -> tuple[DayShift, ...]:
    people = {person.id: person for person in day_book.staff}
    found: list[DayShift] = []
    for shift in shifts:
        start, end = day.steps(shift.window)
        given = [
            GivenBreak(each.kind, day.up(day.frame.minute(each.window.start)), each.inside)
            for each in day_book.breaks
            if each.staff == shift.staff and shift.window.contains(each.window)
        ]
        found.append(
            DayShift(
                index=len(found),
                shift=shift,
                person=people[shift.staff],
                start=start,
                end=end,
                start_minute=day.frame.minute(shift.window.start),
                minutes=shift.window.minutes,
                given=tuple(sorted(given, key=lambda each: each.start)),
            )
        )
    return tuple(found)


def _chair_groups(day_book: DayBook, day: Day, windows: list[TimeWindow]) -> tuple[ChairGroup, ...]:
    """Chairs that no rule of this day tells apart share a group."""
    hours = TimeWindow(start=windows[0].start, end=windows[-1].end)
    turnaround = day.setting("turnaround")
    scope = frozenset(turnaround.scope.chair_tags) if turnaround else frozenset()
    alike: dict[tuple[frozenset[str], frozenset[str], tuple[Span, ...]], list[str]] = {}
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
        key = (frozenset(chair.features), frozenset(chair.tags) & scope, tuple(closed))
        alike.setdefault(key, []).append(chair.id)
    return tuple(
        ChairGroup(index, tuple(chairs), features, tags, closed)
        for index, ((features, tags, closed), chairs) in enumerate(alike.items())
    )


def _day_visit(index: int, visit: Booking | Request) -> DayVisit:
    return DayVisit(index=index, visit=visit, must=is_promised(visit), value=worth(visit))
