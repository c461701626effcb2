"""`supervised-apprentice`: an apprentice braids only where a lead is at the same phase throughout.

For each apprentice at work in a phase: she is not, or a lead performs it, or a lead helps from its
start to its end. Where the rule is soft, a last way is to pay, once for her in this phase.
"""

from __future__ import annotations

from collections.abc import Iterator

from schemas.resources import Role, StaffMember
from schemas.rules import RuleSetting
from schemas.work import BRAIDING, PhaseWork
from solver.model.each_visit import EachVisit
from solver.model.facts import Day, number, word
from solver.model.placement import VisitPlacement
from solver.model.scope import concerns_visit
from solver.model.variables import DayModel, Literal, PhaseVar, VisitVar

CODE = "supervised-apprentice"


def post(model: DayModel) -> None:
    for setting in model.day.settings_of(CODE):
        for visit in model.visits:
            for phase in visit.phases if concerns_visit(setting, visit.facts) else ():
                if _asked(setting, visit.facts.phases[phase.number]):
                    _supervise(model, setting, visit, phase)


def _supervise(model: DayModel, setting: RuleSetting, visit: VisitVar, phase: PhaseVar) -> None:
    cp, work = model.cp, visit.facts.phases[phase.number]
    at_work: list[Literal] = []
    beside: list[Literal] = []
    for index, performs in phase.performer.items():
        person = model.day.shifts[index].person
        if _is_apprentice(setting, person, work.skill):
            at_work.append(performs)
        elif Role.LEAD in person.roles:
            beside.append(performs)
    for help_ in phase.help.values():
        person = help_.shift.person
        if _is_apprentice(setting, person, work.help_skill or ""):
            at_work.append(help_.present)
        elif Role.LEAD in person.roles:
            throughout = model.new_bool(f"{visit.facts.id} helped throughout by {person.id}")
            cp.add_implication(throughout, help_.present)
            # Help lies inside the phase, so as long means the whole of it.
            cp.add(help_.size == phase.size).only_enforce_if(throughout)
            beside.append(throughout)
    for literal in at_work:
        ways = [~literal, *beside]
        if not setting.hard:
            bent = model.new_bool(f"{visit.facts.id} without a lead beside")
            model.penalties.append(setting.weight * bent)
            ways.append(bent)
        cp.add_bool_or(ways)


def bars(day: Day, work: PhaseWork, person: StaffMember) -> bool:
    """Whether a hard setting keeps the greedy start from letting this person perform the phase.

    Where a lead helps throughout she might, which the search is left to find.
    """
    return any(
        setting.hard and _asked(setting, work) and _is_apprentice(setting, person, work.skill)
        for setting in day.settings_of(CODE)
    )


def _asked(setting: RuleSetting, work: PhaseWork) -> bool:
    return work.kind == word(setting, "kind", BRAIDING)


def _is_apprentice(setting: RuleSetting, person: StaffMember, skill: str) -> bool:
    if setting.scope.staff_tags:
        return bool(set(setting.scope.staff_tags).intersection(person.tags))
    return not person.masters(skill, number(setting, "level", 3))


def _alone(day: Day, setting: RuleSetting, placed: VisitPlacement) -> Iterator[bool]:
    """True for each apprentice of the visit with no lead beside her."""
    visit = day.visits[placed.visit]
    if not concerns_visit(setting, visit):
        return
    for work, phase in zip(visit.phases, placed.phases, strict=True):
        if not _asked(setting, work):
            continue
        hands = [(phase.shift, work.skill, True)]
        hands += [
            (help_.shift, work.help_skill or "", help_.end - help_.start == phase.end - phase.start)
            for help_ in phase.help
        ]
        people = [(day.shifts[shift].person, skill, whole) for shift, skill, whole in hands]
        judged = [
            (_is_apprentice(setting, person, skill), Role.LEAD in person.roles and whole)
            for person, skill, whole in people
        ]
        if not any(leads and not learns for learns, leads in judged):
            yield from (True for learns, _ in judged if learns)


def _breaches(day: Day, setting: RuleSetting, placed: VisitPlacement) -> int:
    """How many apprentices of the visit have no lead beside them."""
    return sum(_alone(day, setting, placed))


_EACH = EachVisit(CODE, _breaches)
allows, cost = _EACH.allows, _EACH.cost
