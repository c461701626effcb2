"""`partline` and its commands, and the one place that turns a refusal into exit code 2."""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import NoReturn

import typer

from api.cli.outlet import Outlet
from api.cli.refusal import BAD_INPUT, RefusalError

_EPILOG = (
    "FILE is JSON; - is standard input. Exit codes: 0 done; 1 done and the answer is no; "
    "2 bad input; 130 interrupted."
)

COMMANDS = (
    *(
        "demo",
        "serve",
        "work",
        "token",
        "take-off",
        "openings",
        "plan",
        "why-not",
        "repair",
        "check",
    ),
    *("rules", "rates", "schema", "example"),
)
"""In the order of the help; each is a function, or a group, of its name in a module of its name."""


def _application(names: Sequence[str]) -> typer.Typer:
    """`partline` with these commands."""
    app = typer.Typer(
        name="partline",
        help="Turns braiding styles into minutes and hair, and a studio's days into plans that "
        "hold.",
        epilog=_EPILOG,
        no_args_is_help=True,
        add_completion=False,
        pretty_exceptions_enable=False,
        rich_markup_mode="rich",
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    # Without a callback, an application of one command would take no name for it.
    app.callback()(lambda: None)
    for name in names:
        module = name.replace("-", "_")
        found = getattr(import_module(f"api.cli.commands.{module}"), module)
        if isinstance(found, typer.Typer):
            app.add_typer(found, name=name)
        else:
            app.command(name)(found)
    return app


def run(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run `partline` with `arguments` (default: the process's own) and leave with its exit code."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        # A terminal that cannot write an accent should show a question mark, not a traceback.
        sys.stdout.reconfigure(errors="replace")
    stated = sys.argv[1:] if arguments is None else arguments
    # The server and the solver take seconds to load: only the command that is asked for is.
    asked = [name for name in stated[:1] if name in COMMANDS]
    try:
        _application(asked or COMMANDS)(args=arguments, prog_name="partline")
    except RefusalError as refusal:
        Outlet().refuse(refusal)
        raise SystemExit(BAD_INPUT) from None
    raise SystemExit(0)
