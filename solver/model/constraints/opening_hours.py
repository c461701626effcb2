"""`opening-hours`: the whole visit lies inside one opening."""

from __future__ import annotations

from solver.model.spans import within
from solver.model.variables import DayModel

CODE = "opening-hours"


def post(model: DayModel) -> None:
    for visit in model.visits:
        within(model, visit, model.day.openings, CODE, "the salon is not open then")
