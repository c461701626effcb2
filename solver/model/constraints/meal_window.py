"""`meal-window`: shifts that start and end at certain times of day eat at a certain time.

What it asks for is listed in `solver.model.asked.meal_window`.
"""

from __future__ import annotations

from solver.model.breaks import post_dues
from solver.model.variables import DayModel

CODE = "meal-window"


def post(model: DayModel) -> None:
    post_dues(model, CODE, "a meal break at its time of day")
