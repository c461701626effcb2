"""Where a command writes: answers to standard output, everything else to standard error."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from pydantic import BaseModel
from rich.console import Console, RenderableType
from rich.markup import escape
from rich.table import Table

from api.cli.refusal import BROKEN_PIPE, RefusalError


class _PipeConsole(Console):
    """A console that leaves quietly when nobody reads on."""

    def on_broken_pipe(self) -> None:
        leave_broken_pipe()


def leave_broken_pipe() -> None:
    """End without a word, as a program killed by SIGPIPE would."""
    _silence()
    raise SystemExit(BROKEN_PIPE)


def _silence() -> None:
    # The interpreter flushes standard output once more on its way out: give it somewhere to go.
    with open(os.devnull, "wb") as nowhere:
        os.dup2(nowhere.fileno(), sys.stdout.fileno())


@contextmanager
def _writing() -> Iterator[None]:
    """Turn what goes wrong at the other end of standard output into how a program leaves."""
    try:
        yield
        sys.stdout.flush()
    except BrokenPipeError:
        leave_broken_pipe()
    except OSError as error:
        _silence()
        raise RefusalError(f"the answer cannot be written ({error.strerror})") from None


class Outlet:
    """Answers on `out`, notes and progress on `err`; `machine` asks for JSON only."""

    def __init__(self, machine: bool = False) -> None:
        self.machine = machine
        self.out = _PipeConsole(highlight=False)
        self.err = Console(stderr=True, highlight=False)

    @property
    def lively(self) -> bool:
        """Somebody watches standard error, so a moving bar makes sense there."""
        return self.err.is_terminal

    def show(self, *answers: RenderableType) -> None:
        with _writing():
            for answer in answers:
                self.out.print(answer)
                if isinstance(answer, Table) and answer.show_header:
                    self.out.print()

    def note(self, sentence: str) -> None:
        self.err.print(escape(sentence), style="dim", soft_wrap=True)

    def refuse(self, refusal: RefusalError) -> None:
        """One line for the whole and one for each fault, never wrapped: scripts read them."""
        for line in refusal.lines():
            self.err.print(escape(line), soft_wrap=True)

    def json(self, answer: BaseModel | Sequence[BaseModel] | dict[str, Any]) -> None:
        """One JSON document, indented by two, and a newline."""
        plain: Any
        if isinstance(answer, BaseModel):
            plain = answer.model_dump(mode="json")
        elif isinstance(answer, dict):
            plain = answer
        else:
            plain = [item.model_dump(mode="json") for item in answer]
        self.text(json.dumps(plain, indent=2, ensure_ascii=False))

    def text(self, text: str) -> None:
        with _writing():
            sys.stdout.write(text + "\n")
