"""`partline plan FILE`: chair, crew, phase times and breaks for every visit of a day book."""

from __future__ import annotations

from rich.text import Text

from api.cli.documents import read_document
from api.cli.options import File, Json, Seconds, Seed
from api.cli.outlet import Outlet
from api.cli.planning import solve, sound_book
from api.cli.tables.book import Names
from api.cli.tables.day import day_tables
from api.cli.tables.findings import findings_blocks
from api.cli.tables.solve import solve_tables
from api.cli.tables.views import day_views
from schemas.daybook import DayBook
from schemas.plan import Plan


def plan(file: File, seconds: Seconds = 10.0, seed: Seed = 1, machine: Json = False) -> None:
    """Plan the days of a day book. FILE is a day-book. Exit code 1: no plan was found.

    Ctrl-C gives the best plan so far, with exit code 130; a second one leaves without.
    """
    outlet = Outlet(machine)
    book = sound_book(read_document(file, DayBook), file)
    solved = solve(outlet, book, seconds, seed, file)
    result = solved.answer
    if machine:
        outlet.json(result)
    else:
        if result.plan is not None:
            _show(outlet, book, result.plan)
        outlet.show(*solve_tables(result))
        if result.plan is None or result.findings:
            outlet.show(*findings_blocks(result.findings))
    solved.leave(no=result.plan is None)


def _show(outlet: Outlet, book: DayBook, plan: Plan) -> None:
    names = Names.of(book)
    for view in day_views(book, plan):
        outlet.show(*day_tables(view, names))
    if plan.declined:
        who = ", ".join(names.client(visit) for visit in plan.declined)
        outlet.show(Text(f"No place for: {who}", style="yellow"))
