"""`partline plan FILE`: chair, crew, phase times and breaks for every visit of a day book."""

from __future__ import annotations

import typer

from api.cli.documents import read_document
from api.cli.options import File, Json, Seconds, Seed
from api.cli.outlet import Outlet
from api.cli.planning import solve, sound_book
from api.cli.refusal import NO
from api.cli.tables.day import plan_tables
from api.cli.tables.findings import findings_blocks
from api.cli.tables.solve import solve_tables
from schemas.daybook import DayBook


def plan(file: File, seconds: Seconds = 10.0, seed: Seed = 1, machine: Json = False) -> None:
    """Plan the days of a day book. FILE is a day-book. Exit code 1: no plan was found."""
    outlet = Outlet(machine)
    book = sound_book(read_document(file, DayBook), file)
    result = solve(outlet, book, seconds, seed, file)
    if machine:
        outlet.json(result)
    else:
        if result.plan is not None:
            outlet.show(*plan_tables(book, result.plan))
        outlet.show(*solve_tables(result))
        if result.plan is None or result.findings:
            outlet.show(*findings_blocks(result.findings))
    if result.plan is None:
        raise typer.Exit(NO)
