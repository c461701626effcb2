"""`partline token`: who may ask the service, and for what."""

from __future__ import annotations

import asyncio
import os
import re
from collections.abc import Callable, Coroutine
from dataclasses import asdict
from datetime import datetime
from typing import Annotated, Any, TypeVar

import typer

from api.bootstrap import open_store
from api.cli.options import Json
from api.cli.outlet import Outlet
from api.cli.refusal import RefusalError
from api.cli.service import settings_from, sound_database
from api.cli.tables.words import cell, plain_table
from api.clock import SystemClock
from api.services.callers import Role
from api.services.errors import ServiceError
from api.services.ports import KeptToken
from api.services.tokens import LONGEST_DAYS, Tokens

T = TypeVar("T")
token = typer.Typer(help="Make, list and revoke the tokens of the service.", no_args_is_help=True)
_NAME = re.compile(r"^[a-z0-9][a-z0-9-]{0,63}$", re.ASCII)
Database = Annotated[
    str | None,
    typer.Option("--database", metavar="URL", help="As of partline serve; PARTLINE_DATABASE."),
]
Name = Annotated[
    str, typer.Argument(metavar="NAME", help="Whose it is: letters, digits and hyphens.")
]


@token.command("make")
def make(
    name: Name,
    role: Annotated[Role, typer.Option("--role", help="What it may do.")],
    staff: Annotated[
        str | None, typer.Option("--staff", help="The person a stylist is, by her name there.")
    ] = None,
    days: Annotated[
        int, typer.Option("--days", min=1, max=LONGEST_DAYS, help="Days until it expires.")
    ] = 365,
    database: Database = None,
) -> None:
    """Make a token and print it, this once: only a digest of it is kept."""
    if not _NAME.match(name):
        raise RefusalError(f"{name!r} must be lower-case letters, digits and hyphens")
    made = _ask(database, lambda tokens: tokens.make(name, role, staff=staff, days=days))
    outlet = Outlet()
    outlet.note(f"A token for {name} ({role}), good for {days} days. It is not shown again:")
    outlet.text(made)


@token.command("revoke")
def revoke(name: Name, database: Database = None) -> None:
    """Refuse a token from now on. Its name stays on record and is not given again."""
    _ask(database, lambda tokens: tokens.revoke(name))
    Outlet().note(f"The token of {name} is revoked.")


@token.command("list")
def list_(machine: Json = False, database: Database = None) -> None:
    """List the tokens: whose, their role, until when, and whether revoked."""
    outlet = Outlet(machine)
    known = _ask(database, lambda tokens: tokens.all())
    if machine:
        outlet.json({"tokens": [_plain(each) for each in known]})
        return
    table = plain_table("token", "role", "person", "until", "")
    for each in known:
        until = f"{each.expires_at:%Y-%m-%d}"
        revoked = "" if each.revoked_at is None else f"revoked {each.revoked_at:%Y-%m-%d}"
        table.add_row(cell(each.name), each.role.value, cell(each.staff or ""), until, revoked)
    outlet.show(table)


def _plain(known: KeptToken) -> dict[str, Any]:
    return {
        name: value.isoformat() if isinstance(value, datetime) else value
        for name, value in asdict(known).items()
    }


def _ask(database: str | None, work: Callable[[Tokens], Coroutine[Any, Any, T]]) -> T:
    """What `work` does with the tokens of the salon that the settings name."""
    stated = {} if database is None else {"database": database}
    settings = settings_from(os.environ, stated)
    sound_database(settings)

    async def run() -> T:
        store = open_store(settings)
        try:
            await store.prepare(migrate_first=False)
            return await work(Tokens(store, SystemClock()))
        finally:
            await store.close()

    try:
        return asyncio.run(run())
    except ServiceError as error:
        raise RefusalError(str(error)) from None
