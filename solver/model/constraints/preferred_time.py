"""`preferred-time`: a request starts inside the window its client prefers."""

from __future__ import annotations

from schemas.booking import Request
from schemas.rules import RuleSetting
from schemas.windows import TimeWindow
from solver.model.scope import concerns_visit
from solver.model.variables import DayModel, VisitVar

CODE = "preferred-time"
QUARTER = 15
"""Minutes outside the window that count as one."""


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is None:
        return
    for visit in model.visits:
        request = visit.facts.visit
        if not isinstance(request, Request) or request.preferred is None:
            continue
        if concerns_visit(setting, visit.facts):
            _prefer(model, visit, request.preferred, setting)


def _prefer(model: DayModel, visit: VisitVar, window: TimeWindow, setting: RuleSetting) -> None:
    cp, day = model.cp, model.day
    start, end = day.frame.span(window)
    if setting.hard:
        cp.add(visit.start >= day.up(start)).only_enforce_if(visit.present)
        cp.add(visit.start <= day.down(end)).only_enforce_if(visit.present)
        return
    low, high = day.horizon
    furthest = max(abs(edge * day.grid - other) for edge in (low, high) for other in (start, end))
    quarters = cp.new_int_var(0, -(-furthest // QUARTER), f"{visit.facts.id} off its time")
    at = day.grid * visit.start
    cp.add(QUARTER * quarters >= start - at).only_enforce_if(visit.present)
    cp.add(QUARTER * quarters >= at - end).only_enforce_if(visit.present)
    cp.add(quarters == 0).only_enforce_if(~visit.present)
    model.penalties.append(setting.weight * quarters)
