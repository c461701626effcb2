"""`partline example NAME`: a document to begin with."""

from __future__ import annotations

from typing import Annotated, Any

import typer
from pydantic import BaseModel

from api.cli.dates import monday_on_or_after
from api.cli.outlet import Outlet
from api.cli.refusal import RefusalError
from api.demo.examples import day_book, take_off_request

_KNOWN = ("take-off-request", "day-book")


def example(
    name: Annotated[str, typer.Argument(metavar="NAME", help=" or ".join(_KNOWN))],
    start: Annotated[
        str | None,
        typer.Option("--from", metavar="DATE", help="A Monday; the coming one by default."),
    ] = None,
) -> None:
    """Print a document of the demo studio: a FILE to begin with."""
    documents = {"take-off-request": lambda _: take_off_request(), "day-book": day_book}
    if name not in documents:
        raise RefusalError(f"no example is called {name}; known are: {', '.join(_KNOWN)}")
    Outlet().json(_stated(documents[name](monday_on_or_after(start))))


def _stated(document: BaseModel) -> dict[str, Any]:
    """Only what is not a default: what a person would write."""
    return document.model_dump(mode="json", exclude_defaults=True)
