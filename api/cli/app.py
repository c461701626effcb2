"""`partline` and its commands, and the one place that turns a refusal into exit code 2."""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from typing import NoReturn

import typer

from api.cli.commands.check import check
from api.cli.commands.demo import demo
from api.cli.commands.example import example
from api.cli.commands.openings import openings
from api.cli.commands.plan import plan
from api.cli.commands.rates import rates
from api.cli.commands.repair import repair
from api.cli.commands.rules import rules
from api.cli.commands.schema import schema
from api.cli.commands.serve import serve
from api.cli.commands.take_off import take_off
from api.cli.commands.why_not import why_not
from api.cli.outlet import Outlet
from api.cli.refusal import BAD_INPUT, RefusalError

_EPILOG = (
    "FILE is JSON; - is standard input. Exit codes: 0 done; 1 done and the answer is no; "
    "2 bad input; 130 interrupted."
)

app = typer.Typer(
    name="partline",
    help="Turns braiding styles into minutes and hair, and a studio's days into plans that hold.",
    epilog=_EPILOG,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    context_settings={"help_option_names": ["-h", "--help"]},
)

app.command("demo")(demo)
app.command("serve")(serve)
app.command("take-off")(take_off)
app.command("openings")(openings)
app.command("plan")(plan)
app.command("why-not")(why_not)
app.command("repair")(repair)
app.command("check")(check)
app.command("rules")(rules)
app.command("rates")(rates)
app.command("schema")(schema)
app.command("example")(example)


def run(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run `partline` with `arguments` (default: the process's own) and leave with its exit code."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        # A terminal that cannot write an accent should show a question mark, not a traceback.
        sys.stdout.reconfigure(errors="replace")
    try:
        app(args=arguments, prog_name="partline")
    except RefusalError as refusal:
        Outlet().refuse(refusal)
        raise SystemExit(BAD_INPUT) from None
    raise SystemExit(0)
