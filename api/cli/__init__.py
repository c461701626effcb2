"""The command line: `partline`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NoReturn


def main(arguments: Sequence[str] | None = None) -> NoReturn:
    """Run `partline` with `arguments` (default: the process's own) and leave with its exit code."""
    # The demo uses this folder's tables, and the commands use the demo: they are wanted only now.
    from api.cli.app import run  # noqa: PLC0415

    run(arguments)
