"""`break-total`: as many parts as make up the minutes due, beside the meal that is due anyway.

What it asks for is listed in `solver.model.asked.break_total`.
"""

from __future__ import annotations

from solver.model.breaks import post_dues
from solver.model.variables import DayModel

CODE = "break-total"


def post(model: DayModel) -> None:
    post_dues(model, CODE, "breaks of enough minutes in all")
