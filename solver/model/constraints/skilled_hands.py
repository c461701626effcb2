"""`skilled-hands`: one able lead, able performers, able helpers, no more assistants than agreed.

Who masters what is settled when the variables are made: only able people have a literal. Here the
roles of one visit are tied together.
"""

from __future__ import annotations

from collections import defaultdict

from schemas.resources import Role
from schemas.work import Performer
from solver.model.variables import DayModel, Literal, PhaseVar, VisitVar

CODE = "skilled-hands"


def post(model: DayModel) -> None:
    for visit in model.visits:
        if not visit.leads:
            model.cannot(visit, CODE, "nobody on shift can lead it")
        missing = [
            visit.facts.phases[phase.number].kind for phase in visit.phases if not phase.performer
        ]
        if missing:
            model.cannot(visit, CODE, f"nobody on shift masters {', '.join(missing)}")
        if missing or not visit.leads:
            continue
        model.cp.add(sum(visit.leads.values()) == visit.present)
        for phase in visit.phases:
            _one_performer(model, visit, phase)
        _few_assistants(model, visit)


def _by_person(model: DayModel, literals: dict[int, Literal]) -> dict[str, list[Literal]]:
    people: dict[str, list[Literal]] = defaultdict(list)
    for index, literal in literals.items():
        people[model.day.shifts[index].person.id].append(literal)
    return people


def _one_performer(model: DayModel, visit: VisitVar, phase: PhaseVar) -> None:
    """One shift performs; a LEAD phase is the lead's; only an assistant may stand in for her."""
    cp = model.cp
    cp.add(sum(phase.performer.values()) == visit.present)
    leads_only = visit.facts.phases[phase.number].performer is Performer.LEAD
    performers = _by_person(model, phase.performer)
    roles = _roles(model, phase)
    if leads_only:
        for person, lead in visit.leads.items():
            cp.add(sum(performers[person]) == lead)
    for person, literals in performers.items():
        assists = Role.ASSISTANT in roles[person]
        if not leads_only and not assists:
            cp.add(sum(literals) <= visit.leads[person])
    for person, helping in _by_person(model, _helping(phase)).items():
        # A person is the performer or a helper of a phase, and helps in one span only.
        cp.add_at_most_one([*helping, *performers.get(person, ())])
        if person in visit.leads:
            cp.add(sum(helping) + visit.leads[person] <= 1)


def _few_assistants(model: DayModel, visit: VisitVar) -> None:
    """Everybody on the visit but its lead is an assistant, counted once."""
    cp, most = model.cp, visit.facts.visit.max_assistants
    duties: dict[str, list[Literal]] = defaultdict(list)
    for phase in visit.phases:
        leads_only = visit.facts.phases[phase.number].performer is Performer.LEAD
        own = {} if leads_only else phase.performer
        for doing in (own, _helping(phase)):
            for person, found in _by_person(model, doing).items():
                duties[person] += found
    people = {shift.person.id: shift.person for shift in model.day.shifts}
    counted = []
    for person, literals in duties.items():
        if Role.ASSISTANT not in people[person].roles:
            continue
        used = model.new_bool(f"{visit.facts.id} assistant {person}")
        lead = visit.leads.get(person)
        for literal in literals:
            if lead is None:
                cp.add_implication(literal, used)
            else:
                cp.add_bool_or([~literal, lead, used])
        counted.append(used)
    if len(counted) > most:
        cp.add(sum(counted) <= most)


def _roles(model: DayModel, phase: PhaseVar) -> dict[str, tuple[Role, ...]]:
    shifts = (model.day.shifts[index] for index in phase.performer)
    return {shift.person.id: shift.person.roles for shift in shifts}


def _helping(phase: PhaseVar) -> dict[int, Literal]:
    return {index: help_.present for index, help_ in phase.help.items()}
