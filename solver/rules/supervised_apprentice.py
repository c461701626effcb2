"""An apprentice braids only beside a lead.

Concerned are the phases of one `kind`. An apprentice is somebody with one of the scope's staff
tags; where the scope names none, somebody who masters what the phase asks of her (its skill, or
its help skill if she helps) below `level`. Who performs or helps as an apprentice has a lead beside
her from start to end of the phase: a person of the role lead, no apprentice herself, who performs
the phase or helps with the whole of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from schemas.plan import PlannedPhase, PlannedVisit
from schemas.resources import Role, StaffMember
from schemas.rules import RuleSetting
from schemas.units import Identifier, Number
from schemas.work import BRAIDING, PhaseWork
from solver.rules.reading import Reading, Span, span
from solver.rules.rule import Breach, Parameters, Rule, concerns


class SupervisedApprentice(Parameters):
    """Who is an apprentice, and at what."""

    level: Annotated[int, Field(ge=1, le=6), Number] = 3
    """Below this level she is an apprentice; not asked where the scope names staff tags."""
    kind: Identifier = BRAIDING
    """The kind of phase that is not for apprentices alone."""


def _check(
    reading: Reading, parameters: SupervisedApprentice, setting: RuleSetting
) -> Iterator[Breach]:
    for planned in reading.plan.visits:
        visit = reading.visits.get(planned.visit)
        if not concerns(visit.tags if visit else (), setting.scope.visit_tags):
            continue
        for work, phase in reading.works(planned):
            if work is not None and work.kind == parameters.kind:
                for staff_id, at_work in _alone(reading, parameters, setting, work, phase):
                    yield _breach(reading, planned, phase.kind, staff_id, at_work)


def _alone(
    reading: Reading,
    parameters: SupervisedApprentice,
    setting: RuleSetting,
    work: PhaseWork,
    phase: PlannedPhase,
) -> list[tuple[str, Span]]:
    """The apprentices of a phase and when they work, if no lead is beside them throughout."""
    whole = span(phase.window)
    hands = [(phase.performer, work.skill, whole)]
    hands += [(each.staff, work.help_skill or "", span(each.window)) for each in phase.help]
    apprentices: list[tuple[str, Span]] = []
    for staff_id, skill, (start, end) in hands:
        person = reading.staff.get(staff_id)
        if person is None:
            continue  # a stranger is named by skilled-hands
        if _is_apprentice(person, skill, parameters, setting):
            apprentices.append((staff_id, (start, end)))
        elif Role.LEAD in person.roles and start <= whole[0] and whole[1] <= end:
            return []
    return apprentices


def _breach(
    reading: Reading, planned: PlannedVisit, kind: str, staff_id: str, at_work: Span
) -> Breach:
    return Breach(
        detail=f"{reading.person(staff_id)} is an apprentice and works at "
        f"{reading.client(planned.visit)}'s {kind} with no lead beside her the whole time, "
        f"{reading.when(*at_work)}.",
        remedy=f"Let a lead do the {kind}, or help with the whole of it.",
        visits=(planned.visit,),
        staff=(staff_id,),
        window=reading.window(*at_work),
    )


def _is_apprentice(
    person: StaffMember, skill: str, parameters: SupervisedApprentice, setting: RuleSetting
) -> bool:
    if setting.scope.staff_tags:
        return concerns(person.tags, setting.scope.staff_tags)
    return not person.masters(skill, parameters.level)


RULE = Rule(
    code="supervised-apprentice",
    sentence="An apprentice braids only beside a lead.",
    parameters=SupervisedApprentice,
    check=_check,
    scopes=("staff_tags", "visit_tags"),
    source="Common practice, no source",
    house_on=False,
    repeatable=True,
)
