"""Reports as comma-separated values (RFC 4180: CRLF, quotes doubled), figures unrounded.

Names come from people: one that begins like a formula (`=`, `+`, `-`, `@`) is written with an
apostrophe before it, so that a spreadsheet shows it instead of running it. Where a table has rows
of several levels, each level sums to the week's row: filter on one before adding up.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from schemas.base import Document
from schemas.ledger import HairUseReport, StyleHair
from schemas.reports import (
    ActualMinutes,
    ChairMinutes,
    ChairUtilisation,
    HairDemand,
    HairDemandLine,
)
from schemas.week_reports import (
    IdleCauses,
    IdleMinutes,
    Pairing,
    PairMinutes,
    StaffMinutes,
    StaffUtilisation,
    TurnedAway,
    TurnedAwayLine,
    WeekTrend,
)

Cell = str | int | float | date | None
Row = tuple[Cell, ...]


def utilisation_csv(report: ChairUtilisation) -> str:
    """One row for each chair and day, hour, chair and the week; `level` tells them apart."""

    def rows() -> Iterator[Row]:
        for chair in report.chairs:
            for day in chair.days:
                used = (*_cells(day.minutes), *_cells(day.actual))
                yield "chair-day", chair.chair, chair.name, day.date, None, *used
        for hour in report.hours:
            used = (*_cells(hour.minutes), *_cells(hour.actual))
            yield "hour", None, None, hour.date, hour.hour, *used
        for chair in report.chairs:
            used = (*_cells(chair.total), *_cells(chair.actual))
            yield "chair", chair.chair, chair.name, None, None, *used
        yield "week", None, None, None, None, *_cells(report.total), *_cells(report.actual)

    minutes = (*_names(ChairMinutes), *_names(ActualMinutes, "actual_"))
    header = ("week", "level", "chair", "name", "date", "hour", *minutes)
    return _table(header, ((report.week, *row) for row in rows()))


def staff_csv(report: StaffUtilisation) -> str:
    """One row for each person and day, person, leads, assistants, and all of them."""

    def rows() -> Iterator[Row]:
        for person in report.staff:
            role = "lead" if person.lead else "assistant"
            for day in person.days:
                where = ("person-day", person.staff, person.name, role, day.date)
                yield *where, *_cells(day.minutes)
            yield "person", person.staff, person.name, role, None, *_cells(person.total)
        yield "role", None, None, "lead", None, *_cells(report.leads)
        yield "role", None, None, "assistant", None, *_cells(report.assistants)
        yield "week", None, None, None, None, *_cells(report.total)

    header = ("week", "level", "staff", "name", "role", "date", *_names(StaffMinutes))
    return _table(header, ((report.week, *row) for row in rows()))


def pairing_csv(report: Pairing) -> str:
    """One row for each pair, and the week's."""
    rows: list[Row] = [
        ("pair", pair.lead, pair.assistant, *_cells(pair.minutes)) for pair in report.pairs
    ]
    rows.append(("week", None, None, *_cells(report.total)))
    header = ("week", "level", "lead", "assistant", *_names(PairMinutes))
    return _table(header, ((report.week, *row) for row in rows))


def idle_csv(report: IdleCauses) -> str:
    """One row for each day, hour and the week."""
    rows: list[Row] = [("day", day.date, None, *_cells(day.minutes)) for day in report.days]
    rows += [("hour", hour.date, hour.hour, *_cells(hour.minutes)) for hour in report.hours]
    rows.append(("week", None, None, *_cells(report.total)))
    header = ("week", "level", "date", "hour", *_names(IdleMinutes))
    return _table(header, ((report.week, *row) for row in rows))


def turned_away_csv(report: TurnedAway) -> str:
    """One row for each request that got no place."""
    header = ("week", *_names(TurnedAwayLine))
    return _table(header, ((report.week, *_cells(line)) for line in report.lines))


def trend_csv(report: WeekTrend) -> str:
    """One row for each week."""
    header = (
        "week",
        "first_day",
        "visits",
        "change",
        *_names(ChairMinutes),
        *_names(ActualMinutes, "actual_"),
        *_names(StaffMinutes, "leads_"),
        *_names(StaffMinutes, "assistants_"),
    )
    rows = (
        (
            week.week,
            week.first_day,
            week.visits,
            week.change,
            *_cells(week.chairs),
            *_cells(week.actual),
            *_cells(week.leads),
            *_cells(week.assistants),
        )
        for week in report.weeks
    )
    return _table(header, rows)


def hair_demand_csv(report: HairDemand) -> str:
    """One row for each day and material, grams unless the column says otherwise."""
    return _table(_names(HairDemandLine), (_cells(line) for line in report.lines))


def hair_use_csv(report: HairUseReport) -> str:
    """One row for each technique and role, and all of them."""
    rows: list[Row] = [("style", *_cells(line)) for line in report.styles]
    ratio = report.used / report.expected if report.expected else None
    rows.append(("all", None, None, None, report.expected, report.used, ratio))
    return _table(("level", *_names(StyleHair)), rows)


def _names(document: type[Document], before: str = "") -> tuple[str, ...]:
    return tuple(before + name for name in document.model_fields)


def _cells(document: Document) -> Row:
    return tuple(_cell(getattr(document, name)) for name in type(document).model_fields)


def _cell(value: Any) -> Cell:
    return " ".join(value) if isinstance(value, tuple) else value


def _table(header: Iterable[str], rows: Iterable[Row]) -> str:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(header)
    for row in rows:
        writer.writerow([_shown(cell) for cell in row])
    return text.getvalue()


def _shown(cell: Cell) -> str:
    if isinstance(cell, str):
        return f"'{cell}" if cell.lstrip()[:1] in {"=", "+", "-", "@"} else cell
    return "" if cell is None else str(cell)
