"""Repair a day while it runs: the past stays, promises stand if they can, few people are told.

`events` works what happened into the `situation`, `cutting` splits running phases that change
hands, `task` states it for the model, `mending` solves it day by day, `differences` says what
changed and whom to tell.
"""

from __future__ import annotations

from solver.repair.mending import repair
from solver.repair.promises import agreed

__all__ = ["agreed", "repair"]
