"""`partline demo`: an invented studio, its two weeks and its questions, by way of the HTTP API."""

from __future__ import annotations

from typing import Annotated

import typer

from api.cli.dates import monday_on_or_after
from api.cli.options import Seed
from api.cli.outlet import Outlet
from api.cli.service import BackgroundServer, bound_socket
from api.demo.folder import fresh_file
from api.demo.front_desk import FrontDesk
from api.demo.story import tell
from api.settings import Settings

_HOST = "127.0.0.1"


def demo(
    *,
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port; 0 takes any.")] = 8137,
    folder: Annotated[
        str, typer.Option(help="Folder of the demo's database, partline-demo.sqlite.")
    ] = ".",
    serve: Annotated[
        bool, typer.Option("--serve/--no-serve", help="Keep serving when the walk is done.")
    ] = True,
    start: Annotated[
        str | None,
        typer.Option("--from", metavar="DATE", help="First Monday; the coming one by default."),
    ] = None,
    seconds: Annotated[
        float, typer.Option(min=0.1, max=120, help="Time to plan the day, in seconds.")
    ] = 8.0,
    seed: Seed = 1,
) -> None:
    """See a studio's two weeks: take-off, openings, a planned day, utilisation, hair demand."""
    outlet = Outlet()
    first = monday_on_or_after(start)
    # The port first: a demo that cannot serve must not take away an earlier one's database.
    with bound_socket(_HOST, port) as bound:
        file, replaced = fresh_file(folder)
        if replaced:
            outlet.note(f"Replacing the demo database of an earlier run, {file}.")
        settings = Settings(database=f"sqlite:///{file}", host=_HOST, port=port, tokens="off")
        with BackgroundServer(settings, bound) as server, FrontDesk(server.url) as desk:
            outlet.note(f"Serving the demo studio on {server.url}, database {file}.")
            tell(outlet, desk, first, seed, seconds)
            if serve:
                _serve_on(outlet, server)


def _serve_on(outlet: Outlet, server: BackgroundServer) -> None:
    outlet.note(f"Serving on {server.url}; API description {server.url}/schema. Ctrl-C stops.")
    try:
        server.wait()
    except KeyboardInterrupt:
        outlet.note("Stopped.")
