"""Reports as comma-separated values (RFC 4180: CRLF, quotes doubled), figures unrounded.

Names come from people: one that begins like a formula (`=`, `+`, `-`, `@`) is written with an
apostrophe before it, so that a spreadsheet shows it instead of running it.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from datetime import date

from schemas.reports import ChairMinutes, ChairUtilisation, HairDemand

Cell = str | int | float | date | None


def utilisation_csv(report: ChairUtilisation) -> str:
    """One row for each chair and day, hour, chair and the week; `level` tells them apart.

    Each level sums to the week's row: filter on one before adding up.
    """
    rows: list[tuple[Cell, ...]] = []
    for chair in report.chairs:
        for day in chair.days:
            rows.append(_use(day.minutes, "chair-day", chair.chair, chair.name, day.date, None))
    for hour in report.hours:
        rows.append(_use(hour.minutes, "hour", None, None, hour.date, hour.hour))
    for chair in report.chairs:
        rows.append(_use(chair.total, "chair", chair.chair, chair.name, None, None))
    rows.append(_use(report.total, "week", None, None, None, None))
    header = "week,level,chair,name,date,hour,open,hands_on,waiting,turnaround,occupied,utilisation"
    return _table(header, ((report.week, *row) for row in rows))


def hair_demand_csv(report: HairDemand) -> str:
    """One row for each day and material, grams unless the column says otherwise."""
    header = (
        "date,material,needed,brought_by_clients,tentative,available,short,packs_to_order,"
        "order_by,visits"
    )
    return _table(
        header,
        (
            (
                line.date,
                line.material,
                line.needed,
                line.brought_by_clients,
                line.tentative,
                line.available,
                line.short,
                line.packs_to_order,
                line.order_by,
                " ".join(line.visits),
            )
            for line in report.lines
        ),
    )


def _use(minutes: ChairMinutes, *where: Cell) -> tuple[Cell, ...]:
    return (
        *where,
        minutes.open,
        minutes.hands_on,
        minutes.waiting,
        minutes.turnaround,
        minutes.occupied,
        minutes.utilisation,
    )


def _table(header: str, rows: Iterable[tuple[Cell, ...]]) -> str:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(header.split(","))
    for row in rows:
        writer.writerow([_shown(cell) for cell in row])
    return text.getvalue()


def _shown(cell: Cell) -> str:
    if isinstance(cell, str):
        return f"'{cell}" if cell.lstrip()[:1] in {"=", "+", "-", "@"} else cell
    return "" if cell is None else str(cell)
