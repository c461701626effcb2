"""Arguments and options that several commands share."""

from __future__ import annotations

from typing import Annotated

import typer

File = Annotated[str, typer.Argument(metavar="FILE", help="JSON document; - is standard input.")]
Json = Annotated[
    bool, typer.Option("--json", help="Only machine JSON on standard output; notes go to stderr.")
]
Seconds = Annotated[
    float,
    typer.Option("--seconds", min=0.1, max=3600, help="Time to plan, in seconds, for each day."),
]
Seed = Annotated[int, typer.Option("--seed", min=0, max=2**31 - 1, help="Same seed, same plan.")]
