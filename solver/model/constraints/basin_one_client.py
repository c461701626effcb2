"""`basin-one-client`: no more washes at one time than basins, which are all alike."""

from __future__ import annotations

from ortools.sat.python import cp_model

from schemas.work import Place
from solver.model.variables import DayModel

CODE = "basin-one-client"


def post(model: DayModel) -> None:
    cp, basins = model.cp, len(model.day.basins)
    washes: list[cp_model.IntervalVar] = []
    for visit in model.visits:
        wet = [
            phase for phase in visit.phases if visit.facts.phases[phase.number].place is Place.BASIN
        ]
        if wet and not basins:
            model.cannot(visit, CODE, "there is no basin")
        washes += [
            cp.new_optional_interval_var(
                phase.start, phase.size, phase.end, visit.present, f"{visit.facts.id} at a basin"
            )
            for phase in wet
        ]
    if washes and basins:
        cp.add_cumulative(washes, [1] * len(washes), basins)
