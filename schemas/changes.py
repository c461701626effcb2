"""The record of changes: who changed what, when, from what to what."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Any

from schemas.base import Document
from schemas.pages import Page
from schemas.units import Identifier, Text


class ChangeAct(StrEnum):
    ADDED = "added"
    CHANGED = "changed"
    REMOVED = "removed"


class Change(Document):
    """One change of one thing; those of one transaction stand together, in their order."""

    id: Identifier
    """A number that grows."""
    at: datetime
    """In UTC, to the millisecond."""
    who: Text
    """The name of the token; `anybody` where none is asked for, `service` for the service itself.
    """
    role: Identifier | None = None
    """The role of the token then."""
    operation: Text | None = None
    """What was asked of the service, by its operation id."""
    kind: Identifier
    """What was changed: `booking`, `chair`, `shift` and so on."""
    name: Text
    """The name of the thing; of a break, the person and the minutes from 1970 to its start."""
    act: ChangeAct
    before: dict[str, Any] | None = None
    """The document before; of plans and repairs only how they stood."""
    after: dict[str, Any] | None = None
    """The document since; nothing where it was removed."""


class ChangePage(Page):
    items: tuple[Change, ...]
