"""Runs `partline` inside the test's own process and keeps what it wrote."""

from __future__ import annotations

import io
import json
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

from api.cli import main


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


def run(*arguments: str | Path, stdin: bytes = b"") -> Ran:
    """The exit code and the two streams of `partline ARGUMENTS`."""
    out = io.TextIOWrapper(io.BytesIO(), "utf-8", write_through=True)
    err = io.TextIOWrapper(io.BytesIO(), "utf-8", write_through=True)
    given = io.TextIOWrapper(io.BytesIO(stdin), "utf-8")
    with redirect_stdout(out), redirect_stderr(err), patch.object(sys, "stdin", given):
        try:
            main([str(argument) for argument in arguments])
        except SystemExit as left:
            code = left.code
    assert isinstance(code, int)
    return Ran(code, _read(out), _read(err))


def _read(stream: io.TextIOWrapper) -> str:
    assert isinstance(stream.buffer, io.BytesIO)
    return stream.buffer.getvalue().decode()


def write(folder: Path, document: Any, name: str = "file.json") -> Path:
    """A JSON file of `document`; text and bytes are written as they are."""
    file = folder / name
    if isinstance(document, bytes):
        file.write_bytes(document)
    elif isinstance(document, str):
        file.write_text(document, encoding="utf-8")
    else:
        file.write_text(json.dumps(document), encoding="utf-8")
    return file
