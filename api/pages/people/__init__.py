"""A person's own day, for a phone, and the day sheet for the wall."""

from __future__ import annotations

from api.pages.people.my_day import MyDayPages
from api.pages.people.sheet import SheetPages

__all__ = ["MyDayPages", "SheetPages"]
