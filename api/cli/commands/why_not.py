"""`partline why-not FILE --request ID`: the rules in the way of a request, and what would help."""

from __future__ import annotations

from typing import Annotated

import typer

from api.cli.documents import read_document
from api.cli.options import File, Json, Seed
from api.cli.outlet import Outlet
from api.cli.planning import sound_book, watched
from api.cli.tables.why import why_tables
from schemas.daybook import DayBook
from schemas.explanations import Explanation, Fit
from solver.explain import why_not as explain
from solver.model.progress import OnProgress, Stop


def why_not(
    file: File,
    request: Annotated[str, typer.Option("--request", metavar="ID", help="Id of the request.")],
    seconds: Annotated[
        float, typer.Option("--seconds", min=0.1, max=3600, help="Time for it all, in seconds.")
    ] = 10.0,
    seed: Seed = 1,
    machine: Json = False,
) -> None:
    """Say why a request does not fit, and what would make room. FILE is a day-book.

    Every change told was made to the day book and planned. Exit code 1: it does not fit.
    Ctrl-C gives what is known so far, with exit code 130.
    """
    outlet = Outlet(machine)
    book = sound_book(read_document(file, DayBook), file)

    def asked(_: OnProgress, stop: Stop) -> Explanation:
        return explain(book, request, seconds=seconds, seed=seed, stop=stop)

    done = watched(outlet, "asking why", asked, file)
    answer = done.answer
    if machine:
        outlet.json(answer)
    else:
        outlet.show(*why_tables(answer, book))
    done.leave(no=answer.fit is not Fit.FITS)
