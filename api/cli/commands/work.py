"""`partline work`: a worker that carries out plans and repairs from the queue."""

from __future__ import annotations

import asyncio
import logging.config
import os
import sys
from typing import Annotated

import typer

from api.cli.outlet import Outlet
from api.cli.refusal import RefusalError
from api.cli.service import settings_from, sound_database
from api.logs import logging_of


def work(
    database: Annotated[
        str | None,
        typer.Option("--database", metavar="URL", help="sqlite:///file.db or postgresql://..."),
    ] = None,
    redis: Annotated[
        str | None, typer.Option("--redis", metavar="URL", help="redis://host:6379/0")
    ] = None,
) -> None:
    """Make plans and repairs that services over the same database have queued, until Ctrl-C."""
    outlet = Outlet()
    stated = {"database": database, "redis": redis}
    settings = settings_from(os.environ, {k: v for k, v in stated.items() if v is not None})
    if settings.redis is None:
        raise RefusalError("there is no queue: say --redis or PARTLINE_REDIS, as to the services")
    if settings.migrate:
        sound_database(settings)
    logging.config.dictConfig(logging_of(readable=sys.stderr.isatty()))
    outlet.note("Working on plans and repairs. Ctrl-C stops.")
    from api.worker import work as carry_out  # noqa: PLC0415 - SAQ is needed here alone

    asyncio.run(carry_out(settings))
