"""`partline serve`: the HTTP API over a database."""

from __future__ import annotations

import os
from typing import Annotated

import typer

from api.cli.outlet import Outlet
from api.cli.service import serve_here, settings_from


def serve(
    host: Annotated[
        str | None, typer.Option("--host", help="Address to listen on; 127.0.0.1 by default.")
    ] = None,
    port: Annotated[
        int | None, typer.Option("--port", min=1, max=65535, help="Port to listen on.")
    ] = None,
    database: Annotated[
        str | None,
        typer.Option("--database", metavar="URL", help="sqlite:///file.db or postgresql://..."),
    ] = None,
) -> None:
    """Serve the API until Ctrl-C. Each option may also be said as PARTLINE_HOST and so on."""
    outlet = Outlet()
    stated = {"host": host, "port": port, "database": database}
    settings = settings_from(os.environ, {k: v for k, v in stated.items() if v is not None})
    serve_here(outlet, settings)
