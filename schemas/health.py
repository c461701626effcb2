"""How the service is."""

from __future__ import annotations

from schemas.base import Document
from schemas.units import Text


class Alive(Document):
    """The process answers."""

    alive: bool = True


class Part(Document):
    """Something the service works with, and can do without for a while."""

    name: Text
    well: bool
    detail: Text
    """How it is; where it is not well, what that means until it is."""


class Ready(Document):
    """The database answers, and is at the level this version wants."""

    ready: bool = True
    level: str
    """The migration the database is at."""
    parts: tuple[Part, ...] = ()
    """What else is configured. The book is kept without any of it."""
