"""`resource-closed`: basins or chairs cannot be used at some hours of a weekday.

The closed hours are fixed intervals that no wash, or no visit on a chair concerned, overlaps. Where
the rule is soft, a phase or a visit that pays is left out of that.
"""

from __future__ import annotations

from datetime import datetime, time, timedelta

from ortools.sat.python import cp_model

from schemas.rules import RuleSetting
from schemas.work import Place
from solver.model.each_visit import EachVisit
from solver.model.facts import Day, Span, minute_of_day, number, word
from solver.model.placement import VisitPlacement
from solver.model.scope import concerns_chair
from solver.model.variables import DayModel, Literal

CODE = "resource-closed"


def post(model: DayModel) -> None:
    cp, day = model.cp, model.day
    for setting in day.settings_of(CODE):
        closed = [
            cp.new_fixed_size_interval_var(start, end - start, f"{setting.label} closed")
            for start, end in _closed(day, setting)
        ]
        for visit in model.visits if closed else ():
            if _about_chairs(setting):
                bent = None if setting.hard else _bent(model, setting, visit.facts.id)
                for index, seated in visit.groups.items():
                    if concerns_chair(setting, day.groups[index].tags):
                        keeps = _keeps(model, seated, bent)
                        taken = cp.new_optional_interval_var(
                            visit.start, visit.length, visit.end, keeps, visit.facts.id
                        )
                        cp.add_no_overlap([taken, *closed])
                continue
            for phase in visit.phases:
                if visit.facts.phases[phase.number].place is Place.BASIN:
                    bent = None if setting.hard else _bent(model, setting, visit.facts.id)
                    keeps = _keeps(model, visit.present, bent)
                    wash = cp.new_optional_interval_var(
                        phase.start, phase.size, phase.end, keeps, visit.facts.id
                    )
                    cp.add_no_overlap([wash, *closed])


def _bent(model: DayModel, setting: RuleSetting, name: str) -> Literal:
    bent = model.new_bool(f"{name} in closed hours")
    model.penalties.append(setting.weight * bent)
    return bent


def _keeps(model: DayModel, there: Literal, bent: Literal | None) -> cp_model.IntVar:
    """True where the work is there and does not pay."""
    if bent is None:
        return there
    keeps = model.new_bool("keeps out of closed hours")
    model.cp.add_implication(keeps, there)
    model.cp.add_bool_or([keeps, bent, ~there])
    return keeps


def _about_chairs(setting: RuleSetting) -> bool:
    return word(setting, "what", "basins") == "chairs"


def _breaches(day: Day, setting: RuleSetting, placed: VisitPlacement) -> int:
    """Phases at a basin in closed hours, or 1 for a visit on a chair in them."""
    if _about_chairs(setting):
        if placed.group is None or not concerns_chair(setting, day.groups[placed.group].tags):
            return 0
        spans = [(placed.start, placed.end)]
    else:
        works = zip(day.visits[placed.visit].phases, placed.phases, strict=True)
        spans = [(phase.start, phase.end) for work, phase in works if work.place is Place.BASIN]
    closed = _closed(day, setting)
    return sum(any(s < last and first < e for first, last in closed) for s, e in spans)


def _closed(day: Day, setting: RuleSetting) -> list[Span]:
    """The closed hours that reach into the day, widened to whole steps."""
    low, high = day.horizon
    weekday = number(setting, "weekday", 1)
    since, until = (
        minute_of_day(setting, "since", "00:00"),
        minute_of_day(setting, "until", "12:00"),
    )
    date = day.frame.instant(low * day.grid).date()
    found = []
    while date <= day.frame.instant(high * day.grid).date():
        if weekday in {0, date.isoweekday()}:
            midnight = datetime.combine(date, time(0))
            start, end = (
                day.frame.minute((midnight + timedelta(minutes=at)).replace(tzinfo=day.frame.zone))
                for at in (since, until)
            )
            found.append((day.down(start), day.up(end)))
        date += timedelta(days=1)
    return [(start, end) for start, end in found if start < high and low < end]


_EACH = EachVisit(CODE, _breaches)
allows, cost = _EACH.allows, _EACH.cost
