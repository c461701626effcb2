"""Where a client's name stands in documents."""

from __future__ import annotations

from typing import Any

ERASED = "erased "
"""What names begin with that stand for nobody any more."""


def renamed(document: Any, client: str, by: str) -> Any:
    """The document with `by` in every field `client` that says exactly this name."""
    if isinstance(document, dict):
        return {
            key: by if key == "client" and value == client else renamed(value, client, by)
            for key, value in document.items()
        }
    if isinstance(document, list):
        return [renamed(each, client, by) for each in document]
    return document
