"""`longest-wait`: between two phases the client waits at most so long."""

from __future__ import annotations

from itertools import pairwise

from solver.model.facts import number
from solver.model.scope import concerns_visit
from solver.model.variables import DayModel

CODE = "longest-wait"


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is None:
        return
    cp = model.cp
    steps = model.day.down(number(setting, "minutes", 15))
    for visit in model.visits:
        if not concerns_visit(setting, visit.facts):
            continue
        for earlier, later in pairwise(visit.phases):
            wait = cp.add(later.start - earlier.end <= steps)
            if not setting.hard:
                bent = model.new_bool(f"{visit.facts.id} waits before {later.number}")
                wait.only_enforce_if(~bent)
                model.penalties.append(setting.weight * bent)
