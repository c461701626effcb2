"""`promise-kept`: start within the tolerance, the promised lead, the latest finish."""

from __future__ import annotations

from ortools.sat.python import cp_model

from schemas.booking import Booking
from solver.model.variables import DayModel, VisitVar

CODE = "promise-kept"


def post(model: DayModel) -> None:
    for visit in model.visits:
        if isinstance(visit.facts.visit, Booking):
            _keep(model, visit, visit.facts.visit)


def _keep(model: DayModel, visit: VisitVar, booking: Booking) -> None:
    day, promise = model.day, booking.promise
    promised = day.frame.minute(promise.start)
    first = day.up(promised - promise.tolerance)
    last = day.down(promised + promise.tolerance)
    if first > last or not model.narrow(
        visit, cp_model.Domain(first, last), CODE, "its promised start does not fall on the day"
    ):
        return
    if promise.latest_finish is not None:
        finish = day.down(day.frame.minute(promise.latest_finish))
        reason = "its latest finish comes before it can start"
        if model.narrow(visit, cp_model.Domain(first, finish - 1), CODE, reason):
            model.cp.add(visit.end <= finish)
    if promise.lead is not None:
        for person, literal in visit.leads.items():
            if person != promise.lead:
                model.cp.add(literal == 0)
        if promise.lead not in visit.leads:
            model.cannot(visit, CODE, f"the promised lead {promise.lead} cannot lead it that day")
