"""`meal-break`: a long shift has one meal break, standing alone or inside a phase.

What it asks for is listed in `solver.model.asked.meal_break`.
"""

from __future__ import annotations

from solver.model.breaks import post_dues
from solver.model.variables import DayModel

CODE = "meal-break"


def post(model: DayModel) -> None:
    post_dues(model, CODE, "a meal break")
