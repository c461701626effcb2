"""`client-window`: a request's whole visit suits the client; clients arrive on the arrivals grid.

A booking may also start exactly when it was promised, on the arrivals grid or not.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from schemas.booking import Request
from solver.model.spans import within
from solver.model.variables import DayModel

CODE = "client-window"


def post(model: DayModel) -> None:
    day = model.day
    low, high = day.horizon
    arrivals = [step for step in range(low, high) if day.is_arrival(step)]
    for visit in model.visits:
        asked = visit.facts.visit
        starts = list(arrivals)
        if isinstance(asked, Request):
            spans = [day.steps(window) for window in asked.windows]
            within(model, visit, spans, CODE, "no window of the client falls on the day")
        else:
            promised = day.frame.minute(asked.promise.start)
            if promised % day.grid == 0:
                starts.append(promised // day.grid)
        domain = cp_model.Domain.from_values(starts)
        model.narrow(visit, domain, CODE, "no arrival falls in a window that suits the client")
