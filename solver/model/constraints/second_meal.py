"""`second-meal`: a very long shift has a meal break that follows another.

What it asks for is listed in `solver.model.asked.second_meal`.
"""

from __future__ import annotations

from solver.model.breaks import post_dues
from solver.model.variables import DayModel

CODE = "second-meal"


def post(model: DayModel) -> None:
    post_dues(model, CODE, "a second meal break")
