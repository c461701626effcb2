"""`preferred-lead`: the client gets the lead she would rather have."""

from __future__ import annotations

from solver.model.scope import concerns_visit
from solver.model.variables import DayModel

CODE = "preferred-lead"


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is None:
        return
    for visit in model.visits:
        wanted = visit.facts.visit.preferred_lead
        if wanted is None or not concerns_visit(setting, visit.facts):
            continue
        hers = visit.leads.get(wanted)
        if not setting.hard:
            model.penalties.append(setting.weight * (visit.present - (0 if hers is None else hers)))
        elif hers is None:
            model.cannot(visit, CODE, f"the preferred lead {wanted} cannot lead it that day")
        else:
            model.cp.add(hers == visit.present)
