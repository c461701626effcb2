"""How long the solver worked, told to whoever keeps figures of it."""

from __future__ import annotations

from collections.abc import Callable

Measure = Callable[[str, float, float | None], None]
"""What for, seconds, and the gap |value - bound| / max(1, |value|) where there is a plan."""


def unmeasured(kind: str, seconds: float, gap: float | None) -> None:
    """Keeps no figures."""
