"""The desk: the day, and what the front desk does with it."""

from __future__ import annotations

from api.pages.desk.days import DeskPages

__all__ = ["DeskPages"]
