"""`early-help`: each step that help begins after its phase costs, but for those that are spared.

`late >= help start - phase start - spared` where somebody helps; else nothing is late.
"""

from __future__ import annotations

from schemas.rules import RuleSetting
from solver.model.facts import Day, number
from solver.model.placement import DayPlacement
from solver.model.scope import concerns_visit
from solver.model.variables import DayModel

CODE = "early-help"


def post(model: DayModel) -> None:
    cp, day = model.cp, model.day
    setting = day.setting(CODE)
    if setting is None or not setting.weight:
        return
    low, high = day.horizon
    spared = _spared(day, setting)
    for visit in model.visits:
        if not concerns_visit(setting, visit.facts):
            continue
        for phase in visit.phases:
            for help_ in phase.help.values():
                name = f"{visit.facts.id}/{phase.number} {help_.shift.shift.id} late"
                late = cp.new_int_var(0, high - low, name)
                cp.add(late >= help_.start - phase.start - spared).only_enforce_if(help_.present)
                cp.add(late == 0).only_enforce_if(~help_.present)
                model.penalties.append(setting.weight * late)


def _spared(day: Day, setting: RuleSetting) -> int:
    """Steps that cost nothing: `ceil((grid * late - minutes) / grid)` is so many less than late."""
    return day.down(number(setting, "minutes", 0))


def cost(day: Day, placement: DayPlacement) -> int:
    """What late help costs in a placement."""
    setting = day.setting(CODE)
    if setting is None:
        return 0
    spared = _spared(day, setting)
    return setting.weight * sum(
        max(0, help_.start - phase.start - spared)
        for placed in placement.visits
        if concerns_visit(setting, day.visits[placed.visit])
        for phase in placed.phases
        for help_ in phase.help
    )
