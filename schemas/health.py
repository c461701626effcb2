"""How the service is."""

from __future__ import annotations

from schemas.base import Document


class Alive(Document):
    """The process answers."""

    alive: bool = True


class Ready(Document):
    """The database answers, and is at the level this version wants."""

    ready: bool = True
    level: str
    """The migration the database is at."""
