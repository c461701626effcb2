"""Everybody does what she masters, in the role she has.

The performer of a phase masters its skill at its level; a helper masters its help skill. A phase of
the lead is performed by the visit's lead, who has that role; everybody else on the visit is an
assistant, and no more of them than the client agreed to. The client's own choice of lead holds.
"""

from __future__ import annotations

from collections.abc import Iterator

from schemas.plan import PlannedPhase, PlannedVisit
from schemas.resources import Role
from schemas.rules import RuleSetting
from schemas.work import Performer, PhaseWork
from solver.rules.reading import Reading, span
from solver.rules.rule import Breach, NoParameters, Rule


def _check(reading: Reading, _: NoParameters, __: RuleSetting) -> Iterator[Breach]:
    for planned in reading.plan.visits:
        yield from _lead(reading, planned)
        yield from _assistants(reading, planned)
        for work, phase in reading.works(planned):
            if work is not None:
                yield from _performer(reading, planned, work, phase)
                yield from _helpers(reading, planned, work, phase)


def _lead(reading: Reading, planned: PlannedVisit) -> Iterator[Breach]:
    visit = reading.visits.get(planned.visit)
    lead = reading.staff.get(planned.lead)
    client, who = reading.client(planned.visit), reading.person(planned.lead)
    problem, remedy = "", "Give the visit to a lead who works here."
    if lead is None or lead.retired:
        problem = f"{client}'s lead is {who}, who does not work here"
    elif Role.LEAD not in lead.roles:
        problem = f"{client}'s lead is {who}, who is no lead"
    elif visit is not None and visit.required_lead not in {None, planned.lead}:
        asked = reading.person(visit.required_lead or "")
        problem = f"{client} asked for {asked} and no other lead, and gets {who}"
        remedy = f"Give the visit to {asked}, or ask the client."
    elif visit is not None and planned.lead in visit.refused_leads:
        problem = f"{client} refused {who} as lead"
        remedy = "Give the visit to another lead."
    if problem:
        start, end = reading.occupied(planned)
        yield Breach(
            detail=f"{problem}, {reading.when(start, end)}.",
            remedy=remedy,
            visits=(planned.visit,),
            staff=(planned.lead,),
            window=reading.window(start, end),
        )


def _assistants(reading: Reading, planned: PlannedVisit) -> Iterator[Breach]:
    visit = reading.visits.get(planned.visit)
    crew = planned.assistants
    start, end = reading.occupied(planned)
    for staff in crew:
        person = reading.staff.get(staff)
        if person is None or person.retired:
            problem = f"{reading.person(staff)} is on {reading.client(planned.visit)}'s crew and "
            problem += "does not work here"
        elif Role.ASSISTANT not in person.roles:
            problem = f"{reading.person(staff)} is no assistant, yet works on "
            problem += f"{reading.client(planned.visit)}, whose lead is somebody else"
        else:
            continue
        yield Breach(
            detail=f"{problem}, {reading.when(start, end)}.",
            remedy="Put an assistant in that place, or the visit's lead.",
            visits=(planned.visit,),
            staff=(staff,),
            window=reading.window(start, end),
        )
    if visit is not None and len(crew) > visit.max_assistants:
        names = ", ".join(reading.person(staff) for staff in crew)
        yield Breach(
            detail=f"{reading.client(planned.visit)} agreed to {visit.max_assistants} "
            f"assistant(s) and gets {len(crew)} ({names}), {reading.when(start, end)}.",
            remedy=f"Leave out {len(crew) - visit.max_assistants} of them, or ask the client.",
            visits=(planned.visit,),
            staff=crew,
            window=reading.window(start, end),
        )


def _performer(
    reading: Reading, planned: PlannedVisit, work: PhaseWork, phase: PlannedPhase
) -> Iterator[Breach]:
    client, who = reading.client(planned.visit), reading.person(phase.performer)
    start, end = span(phase.window)
    person = reading.staff.get(phase.performer)
    if work.performer is Performer.LEAD and phase.performer != planned.lead:
        lead = reading.person(planned.lead)
        yield Breach(
            detail=f"{client}'s {work.kind} is for the lead, {lead}, and is given to {who}, "
            f"{reading.when(start, end)}.",
            remedy=f"Give this phase to {lead}.",
            visits=(planned.visit,),
            staff=(phase.performer,),
            window=reading.window(start, end),
        )
    if person is not None and not person.masters(work.skill, work.level):
        yield Breach(
            detail=f"{who} does not master {work.skill} at level {work.level}, which "
            f"{client}'s {work.kind} asks for, {reading.when(start, end)}.",
            remedy=f"Give this phase to somebody who masters {work.skill}.",
            visits=(planned.visit,),
            staff=(phase.performer,),
            window=reading.window(start, end),
        )


def _helpers(
    reading: Reading, planned: PlannedVisit, work: PhaseWork, phase: PlannedPhase
) -> Iterator[Breach]:
    for help_ in phase.help:
        person = reading.staff.get(help_.staff)
        if person is None or work.help_skill is None or person.masters(work.help_skill):
            continue  # strangers are named with the crew, help in an unshared phase by work-done
        start, end = span(help_.window)
        yield Breach(
            detail=f"{reading.person(help_.staff)} does not master {work.help_skill}, yet helps "
            f"with {reading.client(planned.visit)}'s {work.kind}, {reading.when(start, end)}.",
            remedy=f"Ask an assistant who masters {work.help_skill}.",
            visits=(planned.visit,),
            staff=(help_.staff,),
            window=reading.window(start, end),
        )


RULE = Rule(
    code="skilled-hands",
    sentence="Everybody does only what she masters, in the role she has, for a client who agreed.",
    parameters=NoParameters,
    check=_check,
    always_hard=True,
)
