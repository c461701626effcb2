"""`partline schema NAME`: the JSON Schema of a document."""

from __future__ import annotations

import difflib
from typing import Annotated

import typer
from rich.table import Table

from api.cli.names import ALIASES, DOCUMENTS
from api.cli.outlet import Outlet
from api.cli.refusal import RefusalError
from api.cli.tables.words import plain_table

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema(
    name: Annotated[
        str | None, typer.Argument(metavar="[NAME]", help="Name of a document; none lists them.")
    ] = None,
) -> None:
    """Print the JSON Schema of a document, so that you can write FILE by hand."""
    outlet = Outlet()
    if name is None:
        outlet.show(_catalogue())
        return
    known = DOCUMENTS.get(ALIASES.get(name, name))
    if known is None:
        close = difflib.get_close_matches(name, DOCUMENTS, n=1)
        hint = f"did you mean {close[0]}? " if close else ""
        raise RefusalError(f"no document is called {name}; {hint}known are: {', '.join(DOCUMENTS)}")
    outlet.json({"$schema": DIALECT, **known[0].model_json_schema()})


def _catalogue() -> Table:
    table = plain_table("document", "what it is")
    for name, (_, what) in DOCUMENTS.items():
        table.add_row(name, what)
    return table
