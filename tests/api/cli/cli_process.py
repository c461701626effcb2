"""Starts `partline` as a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
PARTLINE = (sys.executable, "-c", "from api.cli import main; main()")


def environment(**more: str) -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "80", **more}


def started(*arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [*PARTLINE, *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(),
        text=True,
    )
