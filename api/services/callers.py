"""On whose behalf a change is made."""

from __future__ import annotations

from contextvars import ContextVar
from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    OWNER = "owner"
    """Everything, the record of changes too."""
    DESK = "desk"
    """The book and all that a day brings; not the house, its prices, rates and rules."""
    STYLIST = "stylist"
    """Her own days, and what a style takes."""
    READ_ONLY = "read-only"
    """Looks at the book and asks it questions; changes nothing."""


@dataclass(frozen=True)
class Caller:
    """Who asks, in which role, and for what; `staff` is the person that a stylist is."""

    name: str
    role: Role | None = None
    operation: str | None = None
    staff: str | None = None


ANYBODY = "anybody"
"""The name of whoever asks where no token is asked for."""
SERVICE = Caller("service")
"""The service itself: what it does at its start, and holds that run out."""
CALLER: ContextVar[Caller] = ContextVar("caller", default=SERVICE)
"""Whoever this task works for; a plan that goes on in the background keeps it."""
