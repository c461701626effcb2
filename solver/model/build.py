"""Restate part of a day book in steps of the grid."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import UTC, date, timedelta
from zoneinfo import ZoneInfo

from schemas.booking import Booking, Request
from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.resources import Shift, StaffMember
from schemas.rules import RuleSetting
from schemas.windows import TimeWindow
from solver.frame import Frame
from solver.model import overtime
from solver.model.asked_breaks import all_asked
from solver.model.chairs import chair_groups
from solver.model.elsewhere import earlier, later
from solver.model.facts import (
    Day,
    DayShift,
    DayVisit,
    Elsewhere,
    GivenBreak,
    is_promised,
    number,
    worth,
)
from solver.model.shelf import Shelf, shelves

ACROSS_DAYS = ("weekly-hours", "rest-between-days", "weekly-rest")
"""Rules that look at what people do on other days."""
WITHIN_A_DAY = ("longest-stretch", "daily-hours")
"""Rules that look at the whole of a date, whose hours may be planned apart."""


def build_day(
    day_book: DayBook,
    openings: Iterable[TimeWindow],
    shifts: Iterable[Shift],
    visits: Iterable[Booking | Request],
    settings: Iterable[RuleSetting],
    *,
    before: Mapping[str, date] | None = None,
    planned: Iterable[Plan] = (),
) -> Day:
    """Restate these openings, shifts and visits of the day book in steps.

    `before` names the visits that earlier days took, each with its day; `planned` are the plans of
    those days.
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
    opened = replace(bare, openings=tuple(bare.steps(window) for window in windows))
    on_shift = replace(opened, shifts=_day_shifts(day_book, opened, shifts))
    return Day(
        **{
            **on_shift.__dict__,
            "dues": tuple(all_asked(on_shift)),
            "groups": chair_groups(day_book, bare, windows, asked),
            "visits": tuple(_day_visit(index, visit) for index, visit in enumerate(asked)),
            "elsewhere": _elsewhere(day_book, bare, planned, windows[-1]),
            "shelves": _shelves(day_book, bare, asked, before or {}),
        }
    )


def _elsewhere(
    day_book: DayBook, day: Day, planned: Iterable[Plan], last: TimeWindow
) -> tuple[Elsewhere, ...]:
    """Work on other days, where a rule on hours asks for it."""
    if any(day.setting(code) for code in ACROSS_DAYS):
        return (*earlier(day.frame, planned), *later(day.frame, day_book, last))
    if any(day.setting(code) for code in WITHIN_A_DAY):
        found = earlier(day.frame, planned)
        return tuple(each for each in found if day.local_date(each.start) == day.date)
    return ()


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
                overtime=_overtime(day_book, day, shift, people[shift.staff]),
            )
        )
    return tuple(found)


def _overtime(day_book: DayBook, day: Day, shift: Shift, person: StaffMember) -> int:
    """Steps past the shift's end that the salon allows, up to closing and to her next shift."""
    minutes = overtime.allowed(day, person)
    if not minutes:
        return 0
    ends = day.frame.minute(shift.window.end)
    later = [
        day.frame.minute(each.window.start)
        for each in day_book.shifts
        if each.staff == shift.staff and each.window.start >= shift.window.end
    ]
    last = day.down(min([ends + minutes, *later]))
    return max(0, min(last, day.horizon[1]) - day.down(ends))


def _day_visit(index: int, visit: Booking | Request) -> DayVisit:
    return DayVisit(index=index, visit=visit, must=is_promised(visit), value=worth(visit))
