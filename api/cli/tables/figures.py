"""Figures for people: chair utilisation of a week, hair demand by day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.tables.book import Names
from api.cli.tables.words import (
    DASH,
    bar,
    cell,
    day_name,
    grams,
    hours,
    percent,
    plain_table,
)
from schemas.reports import ChairMinutes, ChairUtilisation, HairDemand, HairDemandLine


def utilisation_tables(report: ChairUtilisation) -> Iterator[RenderableType]:
    """Chairs by days in per cent, then what the occupied minutes were."""
    days = [report.first_day + timedelta(days=index) for index in range(7)]
    headings = [day_name(day).split()[0] for day in days]
    table = plain_table("chair", *headings, "week", "", right=(*headings, "week"))
    for chair in report.chairs:
        by_day = {day.date: day.minutes.utilisation for day in chair.days}
        table.add_row(
            cell(chair.name),
            *(_day(by_day.get(day)) for day in days),
            percent(chair.total.utilisation),
            bar(chair.total.utilisation),
        )
    table.add_section()
    share = report.total.utilisation
    table.add_row("all", *[""] * 7, percent(share), bar(share), style="bold")
    yield table
    yield Text(_split(report.total), style="dim")


def _day(share: float | None) -> str:
    return DASH if share is None else f"{100 * share:.0f}"


def _split(minutes: ChairMinutes) -> str:
    return (
        f"occupied {hours(minutes.occupied)} of {hours(minutes.open)} open: hands-on "
        f"{hours(minutes.hands_on)}, waiting {hours(minutes.waiting)}, "
        f"turnaround {hours(minutes.turnaround)}"
    )


def hair_tables(report: HairDemand, names: Names) -> Iterator[RenderableType]:
    """Hair by day, then each material that runs short with what to order by when."""
    wanted = [line for line in report.lines if line.needed > 0]
    by_day: dict[date, list[HairDemandLine]] = {}
    for line in wanted:
        by_day.setdefault(line.date, []).append(line)
    table = plain_table("day", "visits", "hair", "short of", right=("visits", "hair"))
    for day, lines in sorted(by_day.items()):
        visits = {visit for line in lines for visit in line.visits}
        short = [names.material(line.material) for line in lines if line.short > 0]
        table.add_row(
            day_name(day),
            str(len(visits)),
            grams(sum(line.needed for line in lines)),
            cell("\n".join(short)) or DASH,
        )
    yield table
    short_lines = [line for line in wanted if line.short > 0]
    if short_lines:
        yield _shortages(short_lines, names)
    else:
        yield Text("Nothing is short.", style="green")


def _shortages(lines: Sequence[HairDemandLine], names: Names) -> Table:
    figures = ["needed", "there", "short", "packs"]
    table = plain_table("short on", "material", *figures, "order by", right=figures)
    for line in lines:
        table.add_row(
            day_name(line.date),
            cell(names.material(line.material)),
            grams(line.needed),
            grams(line.available),
            grams(line.short),
            str(line.packs_to_order),
            DASH if line.order_by is None else day_name(line.order_by),
        )
    return table
