"""A take-off line by line, and its other figures in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import fsum

from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from api.cli.tables.words import cell, indented, plain_table
from schemas.takeoff import TakeOff, TakeOffLine


def explanation_tables(answer: TakeOff) -> Iterator[RenderableType]:
    """Minutes and grams as sums, and what is no sum."""
    yield Text()
    yield _lines("Minutes, line by line", "min", answer.lines)
    if answer.hair_lines:
        yield _lines("Grams, line by line", "g", answer.hair_lines)
    for sentence in answer.reckoning:
        yield indented(sentence, 2, "=")


def _lines(title: str, unit: str, lines: Sequence[TakeOffLine]) -> Table:
    figures = ["times", "rate", unit]
    table = plain_table("line", "times", "rate", unit, "rate from", title=title, right=figures)
    part = ""
    for line in lines:
        if line.phase != part:
            part = line.phase
            table.add_row(cell(part), style="bold")
        of = "" if line.section == line.phase else f"{line.section}: "
        table.add_row(
            cell(f"  {of}{line.label}"),
            f"{line.quantity:.6g}",
            f"{line.rate:.4g}",
            f"{line.amount:.2f}",
            cell(_origin(line)),
        )
    table.add_section()
    table.add_row("sum", "", "", f"{fsum(line.amount for line in lines):.2f}", style="bold")
    return table


def _origin(line: TakeOffLine) -> str:
    return f"{line.rate_code or line.worked or line.unit} ({line.provenance.value})"
