"""A planned day for people: chairs and hands as strips, visits phase by phase, every break."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.tables.book import Names
from api.cli.tables.openings import helping
from api.cli.tables.strip import LEGEND, Face, chair_strip, letters, person_strip
from api.cli.tables.words import DASH, cell, day_name, hours, plain_table, span
from schemas.dayview import DayView, DutyRole, StaffDayView, VisitDayView
from schemas.plan import PlannedBreak


def day_tables(day: DayView, names: Names) -> Iterator[RenderableType]:
    """The day, top to bottom: heading, strips, visits, people."""
    count = len(day.visits)
    heading = f"{day_name(day.date)} {day.date.year}: {count} visit{'s' if count != 1 else ''}"
    yield Text(heading if day.open or count else f"{heading}, closed", style="bold")
    face = _face(day, names)
    if face is None:
        return
    yield _strips(day, face)
    if day.visits:
        yield _visits(day, names)
    yield _people(day, names)
    if day.waiting:
        yield Text(f"No place for: {', '.join(map(names.client, day.waiting))}", style="yellow")


def _face(day: DayView, names: Names) -> Face | None:
    windows = [visit.window for visit in day.visits]
    windows += [shift for person in day.staff for shift in person.shifts]
    if day.open is not None:
        windows.append(day.open)
    if not windows:
        return None
    return Face.around(
        _local(min(window.start for window in windows), names),
        _local(max(window.end for window in windows), names),
    )


def _local(instant: datetime, names: Names) -> datetime:
    return instant.astimezone(names.zone)


def _strips(day: DayView, face: Face) -> Table:
    marks = letters(day.visits)
    by_name = {visit.visit: visit for visit in day.visits}
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0), header_style="bold cyan")
    table.add_column("", no_wrap=True)
    table.add_column(face.hours(), no_wrap=True)
    for chair in day.chairs:
        taken = [by_name[visit] for visit in chair.visits if visit in by_name]
        table.add_row(cell(chair.name), chair_strip(face, taken, marks))
    table.add_row("", "")
    for person in day.staff:
        if person.shifts:
            table.add_row(cell(person.name), person_strip(face, person, marks))
    table.add_row("", Text(LEGEND, style="dim italic"))
    return table


def _visits(day: DayView, names: Names) -> Table:
    marks = letters(day.visits)
    table = plain_table("", "client", "time, chair", "phases and hands")
    for visit in day.visits:
        when = span(visit.window.start, visit.window.end, names.zone)
        table.add_row(
            marks[visit.visit],
            cell(visit.client),
            cell(f"{when}\n{names.chair(visit.chair)}"),
            cell("\n".join(_phases(visit, names))),
        )
    return table


def _phases(visit: VisitDayView, names: Names) -> Iterator[str]:
    for phase in visit.phases:
        when = span(phase.window.start, phase.window.end, names.zone)
        line = f"{phase.kind:<9} {when} {names.person(phase.performer)}"
        yield line + "".join(f" + {beside}" for beside in helping(phase, names))


def _people(day: DayView, names: Names) -> Table:
    table = plain_table(
        "who", "role", "shift", "own work", "help", "break", right=("own work", "help")
    )
    for person in day.staff:
        if not person.shifts and not person.duties:
            continue
        own = _minutes(person, DutyRole.PERFORMER)
        own -= sum(rest.window.minutes for rest in person.breaks if rest.inside is not None)
        helped = _minutes(person, DutyRole.HELP)
        table.add_row(
            cell(person.name),
            names.role(person.staff),
            "\n".join(span(shift.start, shift.end, names.zone) for shift in person.shifts),
            hours(own) if own else DASH,
            hours(helped) if helped else DASH,
            cell("\n".join(_break(rest, names) for rest in person.breaks)) or DASH,
        )
    return table


def _minutes(person: StaffDayView, role: DutyRole) -> int:
    return sum(duty.window.minutes for duty in person.duties if duty.role is role)


def _break(rest: PlannedBreak, names: Names) -> str:
    when = span(rest.window.start, rest.window.end, names.zone)
    return f"{when} {rest.kind.value}" + (
        f", in {names.client(rest.inside)}" if rest.inside else ""
    )
