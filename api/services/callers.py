"""On whose behalf a change is made."""

from __future__ import annotations

from contextvars import ContextVar
from dataclasses import dataclass


@dataclass(frozen=True)
class Caller:
    """Who asks, in which role, and for what."""

    name: str
    role: str | None = None
    operation: str | None = None


ANYBODY = "anybody"
"""The name of whoever asks where no token is asked for."""
SERVICE = Caller("service")
"""The service itself: what it does at its start, and holds that run out."""
CALLER: ContextVar[Caller] = ContextVar("caller", default=SERVICE)
"""Whoever this task works for; a plan that goes on in the background keeps it."""
