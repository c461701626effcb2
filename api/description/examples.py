"""Bodies and answers recorded from a running service, by operation."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import Any

NAME = "examples.json"


@cache
def recorded() -> dict[str, dict[str, Any]]:
    """`{operation: {"body": ..., "answer": ...}}`; long lists are cut short."""
    text = files("api.description").joinpath(NAME).read_text(encoding="utf-8")
    told: dict[str, dict[str, Any]] = json.loads(text)
    return told
