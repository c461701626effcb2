"""`even-shares`: how far the long installs of any two able leads lie apart costs.

A lead counts as able once a visit that she could lead is accepted. For every lead and every able
other, `spread >= hers - the other's - slack`.
"""

from __future__ import annotations

from collections import Counter, defaultdict

from schemas.booking import Booking
from schemas.resources import StaffMember
from schemas.rules import RuleSetting
from solver.model.crew import can_lead
from solver.model.facts import Day, DayVisit, number
from solver.model.placement import DayPlacement
from solver.model.scope import concerns_visit
from solver.model.variables import DayModel, Literal

CODE = "even-shares"


def post(model: DayModel) -> None:
    setting = model.day.setting(CODE)
    if setting is None:
        return
    cp, leads = model.cp, _leads(model.day, setting)
    shares: dict[str, list[Literal]] = defaultdict(list)
    able: dict[str, Literal] = {}
    for visit in model.visits:
        for name, person in leads.items() if _long(setting, visit.facts) else ():
            if name in visit.leads and _could_lead(person, visit.facts):
                shares[name].append(visit.leads[name])
                if name not in able:
                    able[name] = model.new_bool(f"{name} could lead a long install")
                cp.add_implication(visit.present, able[name])
    if len(shares) < 2:
        return
    spread = cp.new_int_var(0, len(model.visits), "spread of long installs")
    slack = number(setting, "slack", 1)
    for name, hers in shares.items():
        for other, literals in shares.items():
            if other != name:
                apart = sum(hers) - sum(literals) - slack
                cp.add(spread >= apart).only_enforce_if(able[other])
    model.penalties.append(setting.weight * spread)


def cost(day: Day, placement: DayPlacement) -> int:
    """What the uneven shares of a placement cost."""
    setting = day.setting(CODE)
    if setting is None:
        return 0
    counts: Counter[str] = Counter()
    for placed in placement.visits:
        visit = day.visits[placed.visit]
        if not _long(setting, visit):
            continue
        for name, person in _leads(day, setting).items():
            if _could_lead(person, visit):
                counts[name] += name == placed.lead
    if not counts:
        return 0
    apart = max(counts.values()) - min(counts.values())
    return setting.weight * max(0, apart - number(setting, "slack", 1))


def _leads(day: Day, setting: RuleSetting) -> dict[str, StaffMember]:
    """Everybody on shift whom the rule concerns; who can lead what is asked visit by visit."""
    tags = set(setting.scope.staff_tags)
    people = {shift.person.id: shift.person for shift in day.shifts}
    return {name: who for name, who in people.items() if not tags or tags.intersection(who.tags)}


def _long(setting: RuleSetting, visit: DayVisit) -> bool:
    work = sum(phase.minutes for phase in visit.phases)
    return concerns_visit(setting, visit) and work >= number(setting, "minutes", 240)


def _could_lead(person: StaffMember, visit: DayVisit) -> bool:
    asked = visit.visit
    promised = asked.promise.lead if isinstance(asked, Booking) else None
    return promised in {None, person.id} and can_lead(asked, person)
