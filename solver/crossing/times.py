"""Times of a day book that cannot be meant: another zone's, off the grid, overlapping."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from typing import cast
from zoneinfo import ZoneInfo

from schemas.daybook import DayBook
from schemas.plan import PlannedVisit
from schemas.windows import TimeWindow
from solver.errors import Fault

Pointed = tuple[str, datetime]
"""An instant and the JSON pointer to it."""


def time_faults(day_book: DayBook) -> Iterator[Fault]:
    bad_grid = tuple(_grid(day_book))
    yield from bad_grid
    zone = ZoneInfo(day_book.zone)
    for pointer, instant in _instants(day_book):
        yield from _offset(pointer, instant, zone, day_book.zone)
    step = day_book.grid.minutes
    for pointer, instant in () if bad_grid else _gridded(day_book):
        local = instant.astimezone(zone)
        if (local.hour * 60 + local.minute) % step:
            yield Fault(pointer, f"{local:%H:%M} is off the {step}-minute grid")
    yield from _overlaps(
        ((f"/open/{index}", window) for index, window in enumerate(day_book.open)),
        "two opening windows overlap",
    )
    for person in dict.fromkeys(shift.staff for shift in day_book.shifts):
        yield from _overlaps(
            (
                (f"/shifts/{index}/window", shift.window)
                for index, shift in enumerate(day_book.shifts)
                if shift.staff == person
            ),
            f"two shifts of {person} overlap",
        )


def _grid(day_book: DayBook) -> Iterator[Fault]:
    """A clock change moves the wall clock by whole or half hours: grids must divide the hour."""
    for name in ("minutes", "arrivals"):
        step = getattr(day_book.grid, name)
        if 60 % step:
            yield Fault(
                f"/grid/{name}", f"{step} does not divide an hour, so a clock change would break it"
            )


def _window(pointer: str, window: TimeWindow) -> Iterator[Pointed]:
    yield f"{pointer}/start", window.start
    yield f"{pointer}/end", window.end


def _gridded(day_book: DayBook) -> Iterator[Pointed]:
    """Instants the salon sets itself; what a client wishes need not fall on the grid."""
    for index, window in enumerate(day_book.open):
        yield from _window(f"/open/{index}", window)
    for index, shift in enumerate(day_book.shifts):
        yield from _window(f"/shifts/{index}/window", shift.window)
    for index, booking in enumerate(day_book.bookings):
        yield f"/bookings/{index}/promise/start", booking.promise.start


def _instants(day_book: DayBook) -> Iterator[Pointed]:
    yield from _gridded(day_book)
    for index, closure in enumerate(day_book.closures):
        yield from _window(f"/closures/{index}/window", closure.window)
    for index, booking in enumerate(day_book.bookings):
        if booking.promise.latest_finish is not None:
            yield f"/bookings/{index}/promise/latest_finish", booking.promise.latest_finish
        if booking.placed is not None:
            yield from _placed(f"/bookings/{index}/placed", booking.placed)
    for index, request in enumerate(day_book.requests):
        for number, window in enumerate(request.windows):
            yield from _window(f"/requests/{index}/windows/{number}", window)
        if request.preferred is not None:
            yield from _window(f"/requests/{index}/preferred", request.preferred)
    for index, planned in enumerate(day_book.breaks):
        yield from _window(f"/breaks/{index}/window", planned.window)


def _placed(pointer: str, placed: PlannedVisit) -> Iterator[Pointed]:
    yield from _window(f"{pointer}/window", placed.window)
    for number, phase in enumerate(placed.phases):
        yield from _window(f"{pointer}/phases/{number}/window", phase.window)
        for which, help_ in enumerate(phase.help):
            yield from _window(f"{pointer}/phases/{number}/help/{which}/window", help_.window)


def _offset(pointer: str, instant: datetime, zone: ZoneInfo, name: str) -> Iterator[Fault]:
    """An instant is written with the salon's own offset of that moment, or in UTC.

    Any other offset is a sign of another salon's zone, of a forgotten clock change, or of a local
    time that the clock skipped, and would be read an hour or a day off.
    """
    written = cast("timedelta", instant.utcoffset())
    local = instant.astimezone(zone)
    if not written or written == local.utcoffset():
        return
    wall = instant.replace(tzinfo=None)
    again = wall.replace(tzinfo=zone).astimezone(ZoneInfo("UTC")).astimezone(zone)
    if again.replace(tzinfo=None) != wall:
        what = f"{wall:%Y-%m-%d %H:%M} does not exist in {name}: the clock skipped it"
        if _skipped(wall, zone):
            what = f"the day {wall:%Y-%m-%d} does not exist in {name}: the calendar skipped it"
        yield Fault(pointer, what)
        return
    yield Fault(
        pointer,
        f"{instant.isoformat()} is not written in the offset of {name}; "
        f"write {local.isoformat()} if this instant is meant",
    )


def _skipped(wall: datetime, zone: ZoneInfo) -> bool:
    """Whether no hour of that local day exists."""
    midnight = wall.replace(hour=0, minute=0)
    hours = (midnight + timedelta(hours=hour) for hour in range(24))
    utc = ZoneInfo("UTC")
    return all(
        hour.replace(tzinfo=zone).astimezone(utc).astimezone(zone).replace(tzinfo=None) != hour
        for hour in hours
    )


def _overlaps(windows: Iterable[tuple[str, TimeWindow]], what: str) -> Iterator[Fault]:
    longest: tuple[str, TimeWindow] | None = None
    for pointer, window in sorted(windows, key=lambda each: each[1].start):
        if longest is not None and window.start < longest[1].end:
            yield Fault(pointer, f"{what}: see {longest[0]}")
        if longest is None or window.end > longest[1].end:
            longest = pointer, window
