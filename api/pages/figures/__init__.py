"""The owner's week: figures as plots and tables, on the screen and on paper."""

from __future__ import annotations

from api.pages.figures.week import WeekPages

__all__ = ["WeekPages"]
