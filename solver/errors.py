"""What can go wrong in the solver's rooms.

PartlineError
└── InputError            the document is well formed but does not make sense
    ├── StyleError        a style that cannot be taken off
    ├── RuleError         a rule with an unknown code or a bad parameter
    └── DayBookError      a day book that contradicts itself

"Nothing fits" and "infeasible" are answers, not errors.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Fault:
    """One thing wrong: where (JSON Pointer, RFC 6901) and what to do about it."""

    pointer: str
    detail: str


class PartlineError(Exception):
    """Root of all errors of our own."""


class InputError(PartlineError):
    """The document is well formed but does not make sense; `faults` says where."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__("; ".join(f"{fault.pointer}: {fault.detail}" for fault in faults))

    def __reduce__(self) -> tuple[type[InputError], tuple[Fault, ...]]:
        # From one process to another it goes by its faults, which its sentence is made of.
        return type(self), self.faults


class StyleError(InputError):
    """A style that cannot be taken off."""


class RuleError(InputError):
    """A rule with an unknown code or a parameter out of range."""


class DayBookError(InputError):
    """A day book that contradicts itself."""
