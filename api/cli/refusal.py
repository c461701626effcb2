"""Bad input, told in sentences: what is wrong, where, and what to do."""

from __future__ import annotations

from collections.abc import Sequence

from solver.errors import Fault

DONE, NO, BAD_INPUT, INTERRUPTED, BROKEN_PIPE = 0, 1, 2, 130, 141
"""Exit codes: done; done and the answer is no; bad input; Ctrl-C; nobody reads our output."""

SHOWN = 12
"""Faults shown before the rest is only counted."""


class RefusalError(Exception):
    """The command cannot go on; `faults` say where the input is at fault."""

    def __init__(self, sentence: str, faults: Sequence[Fault] = ()) -> None:
        self.sentence = sentence
        self.faults = tuple(faults)
        super().__init__(sentence)

    def lines(self) -> list[str]:
        """What a person reads, one line for each fault."""
        lines = [f"partline: {self.sentence}"]
        lines += [f"  {fault.pointer or '(root)'}: {fault.detail}" for fault in self.faults[:SHOWN]]
        if len(self.faults) > SHOWN:
            lines.append(f"  ... and {len(self.faults) - SHOWN} more")
        return [_printable(line) for line in lines]


def _printable(line: str) -> str:
    """`line` without control characters: the input's own words must not steer a terminal."""
    return "".join(c if c.isprintable() else ascii(c)[1:-1] for c in line)
