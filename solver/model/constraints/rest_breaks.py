"""`rest-breaks`: one rest for each `every` minutes of the shift or major fraction of them.

What it asks for is listed in `solver.model.asked.rest_breaks`.
"""

from __future__ import annotations

from solver.model.breaks import post_dues
from solver.model.variables import DayModel

CODE = "rest-breaks"


def post(model: DayModel) -> None:
    post_dues(model, CODE, "a rest break")
