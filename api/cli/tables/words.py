"""Small words and shapes that every table shares."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, tzinfo

from rich import box
from rich.markup import escape
from rich.table import Table

DASH = "-"
_WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_YEAR = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def plain_table(*headings: str, title: str | None = None, right: Iterable[str] = ()) -> Table:
    """A table with a ruled heading and no frame; the columns named in `right` hold figures."""
    table = Table(
        title=title,
        title_justify="left",
        title_style="bold",
        box=box.SIMPLE_HEAD,
        pad_edge=False,
        show_edge=False,
        header_style="bold cyan",
    )
    figures = set(right)
    for heading in headings:
        table.add_column(heading, justify="right" if heading in figures else "left")
    return table


def indented(words: str, by: int, mark: str = "", style: str = "") -> Table:
    """`words` wrapped as one paragraph, `by` columns from the left, with a `mark` before it."""
    grid = Table.grid()
    grid.add_column(width=by, no_wrap=True)
    grid.add_column(style=style)
    grid.add_row(escape(mark.rjust(by - 1)), escape(words))
    return grid


def cell(words: object) -> str:
    """Words of a document as they are: a name such as `[red]` is no markup."""
    return escape(str(words))


def hours(minutes: float) -> str:
    """Minutes as the desk says them: 5 h 20."""
    whole = round(minutes)
    if whole < 60:
        return f"{whole} min"
    return f"{whole // 60} h {whole % 60:02d}"


def clock(instant: datetime, zone: tzinfo) -> str:
    return instant.astimezone(zone).strftime("%H:%M")


def span(start: datetime, end: datetime, zone: tzinfo) -> str:
    return f"{clock(start, zone)}-{clock(end, zone)}"


def day_name(day: date) -> str:
    """`Tue 1 Dec`, in English whatever the locale of the process."""
    return f"{_WEEK[day.weekday()]} {day.day} {_YEAR[day.month - 1]}"


def percent(share: float | None) -> str:
    return DASH if share is None else f"{100 * share:.0f} %"


def bar(share: float | None, width: int = 10) -> str:
    """A bar of `width` cells for a share from 0 to 1."""
    if share is None:
        return ""
    full = round(max(0.0, min(1.0, share)) * width)
    return "█" * full + "░" * (width - full)


def grams(amount: float) -> str:
    return f"{amount:,.0f} g".replace(",", " ")
