"""`latest-start`: a visit longer than some minutes does not start after a time of day.

One of two holds: the visit starts in time, or it is short. Where the rule is soft, a third way is
to pay. A declined visit has no length, so it is short.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from schemas.rules import RuleSetting
from solver.model.each_visit import EachVisit
from solver.model.facts import Day, minute_of_day, number
from solver.model.placement import VisitPlacement
from solver.model.scope import concerns_visit
from solver.model.variables import DayModel

CODE = "latest-start"


def post(model: DayModel) -> None:
    cp, day = model.cp, model.day
    low, high = day.horizon
    for setting in day.settings_of(CODE):
        longest = day.down(number(setting, "longer", 360))
        early = [step for step in range(low, high + 1) if not _late(day, setting, step)]
        domain = cp_model.Domain.from_values(early)
        for visit in model.visits:
            if not concerns_visit(setting, visit.facts):
                continue
            short = model.new_bool(f"{visit.facts.id} is short")
            cp.add(visit.length <= longest).only_enforce_if(short)
            ways = [short]
            if early:
                in_time = model.new_bool(f"{visit.facts.id} starts in time")
                cp.add_linear_expression_in_domain(visit.start, domain).only_enforce_if(in_time)
                ways.append(in_time)
            if not setting.hard:
                bent = model.new_bool(f"{visit.facts.id} starts late")
                model.penalties.append(setting.weight * bent)
                ways.append(bent)
            cp.add_bool_or(ways)


def _late(day: Day, setting: RuleSetting, step: int) -> bool:
    return day.time_of_day(step) > minute_of_day(setting, "after", "13:00")


def _broken(day: Day, setting: RuleSetting, placed: VisitPlacement) -> bool:
    return (
        concerns_visit(setting, day.visits[placed.visit])
        and (placed.end - placed.start) * day.grid > number(setting, "longer", 360)
        and _late(day, setting, placed.start)
    )


_EACH = EachVisit(CODE, _broken)
allows, cost = _EACH.allows, _EACH.cost
