"""`fewest-changes`: what a placed booking loses of its start, chair, lead and assistants costs.

The chairs that are kept are groups of their own (`solver.model.chairs`), so that the model knows
them by name. A tentative booking that is declined costs nothing here.
"""

from __future__ import annotations

from collections import defaultdict

from schemas.booking import Booking
from schemas.plan import PlannedVisit
from schemas.work import Performer
from solver.model.facts import Day, DayVisit, number
from solver.model.placement import DayPlacement, VisitPlacement
from solver.model.scope import concerns_visit
from solver.model.variables import DayModel, Literal, VisitVar

CODE = "fewest-changes"


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is None:
        return
    for visit in model.visits:
        before = _before(visit.facts)
        if before is None or not concerns_visit(setting, visit.facts):
            continue
        kept_chair = [
            literal
            for index, literal in visit.groups.items()
            if model.day.groups[index].chairs == (before.chair,)
        ]
        same_chair = not visit.facts.needs_chair and before.chair is None
        for name, change in (
            ("start", _moved(model, visit, before)),
            ("chair", 0 if same_chair else visit.present - sum(kept_chair)),
            ("lead", visit.present - visit.leads.get(before.lead, 0)),
            ("assistants", _other_assistants(model, visit, before)),
        ):
            model.penalties.append(setting.weight * number(setting, name, 1) * change)


def _before(visit: DayVisit) -> PlannedVisit | None:
    return visit.visit.placed if isinstance(visit.visit, Booking) else None


def _moved(model: DayModel, visit: VisitVar, before: PlannedVisit) -> Literal:
    cp, day = model.cp, model.day
    minute = day.frame.minute(before.window.start)
    if minute % day.grid:
        return visit.present
    moved = model.new_bool(f"{visit.facts.id} moved")
    cp.add(visit.start == minute // day.grid).only_enforce_if([~moved, visit.present])
    return moved


def _other_assistants(model: DayModel, visit: VisitVar, before: PlannedVisit) -> Literal:
    """At least 1 where the assistants are not who they were; the goal keeps it from being more."""
    cp = model.cp
    changed = model.new_bool(f"{visit.facts.id} has other assistants")
    duties: dict[str, list[Literal]] = defaultdict(list)
    for phase in visit.phases:
        if visit.facts.phases[phase.number].performer is Performer.CREW:
            for index, performs in phase.performer.items():
                duties[model.day.shifts[index].person.id].append(performs)
        for help_ in phase.help.values():
            duties[help_.shift.person.id].append(help_.present)
    for person in before.assistants:
        cp.add_bool_or([*duties[person], changed, ~visit.present])
        if person in visit.leads:
            cp.add_implication(visit.leads[person], changed)
    for person, literals in duties.items():
        if person not in before.assistants:
            leads = [visit.leads[person]] if person in visit.leads else []
            for literal in literals:
                cp.add_bool_or([~literal, changed, *leads])
    return changed


def cost(day: Day, placement: DayPlacement) -> int:
    """What the changes of a placement cost."""
    setting = day.setting(CODE)
    if setting is None:
        return 0
    return setting.weight * sum(
        number(setting, name, 1)
        for placed in placement.visits
        if concerns_visit(setting, day.visits[placed.visit])
        for name in _changes(day, placed)
    )


def _changes(day: Day, placed: VisitPlacement) -> list[str]:
    before = _before(day.visits[placed.visit])
    if before is None:
        return []
    chair = None if placed.group is None else day.groups[placed.group].chairs
    people = {
        day.shifts[shift].person.id
        for phase in placed.phases
        for shift in (phase.shift, *(help_.shift for help_ in phase.help))
    }
    differs = {
        "start": placed.start * day.grid != day.frame.minute(before.window.start),
        "chair": chair != (None if before.chair is None else (before.chair,)),
        "lead": placed.lead != before.lead,
        "assistants": people - {placed.lead} != set(before.assistants),
    }
    return [name for name, changed in differs.items() if changed]
