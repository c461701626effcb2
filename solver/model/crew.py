"""Who may do what: roles, skills, refusals."""

from __future__ import annotations

from schemas.booking import Booking, Request
from schemas.resources import Role, StaffMember
from schemas.work import Performer, PhaseWork


def masters_phase(phase: PhaseWork, person: StaffMember) -> bool:
    return not person.retired and person.masters(phase.skill, phase.level)


def can_perform(visit: Booking | Request, phase: PhaseWork, person: StaffMember) -> bool:
    """Whether this person could perform the phase in some role on this visit."""
    if not masters_phase(phase, person):
        return False
    if phase.performer is Performer.LEAD:
        return can_lead(visit, person)
    return Role.ASSISTANT in person.roles or can_lead(visit, person)


def can_lead(visit: Booking | Request, person: StaffMember) -> bool:
    """Whether this person could own the visit: role, refusals, and the phases of a lead."""
    return (
        not person.retired
        and Role.LEAD in person.roles
        and person.id not in visit.refused_leads
        and visit.required_lead in {None, person.id}
        and all(
            masters_phase(phase, person)
            for phase in visit.phases
            if phase.performer is Performer.LEAD
        )
    )


def can_help(phase: PhaseWork, person: StaffMember) -> bool:
    """Whether this person could braid beside the performer."""
    return (
        phase.shared
        and phase.help_skill is not None
        and not person.retired
        and Role.ASSISTANT in person.roles
        and person.masters(phase.help_skill)
    )
