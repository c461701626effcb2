"""Who may staff a visit: leads, assistants, and what each of them is able to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from schemas.booking import Request
from schemas.resources import Role
from schemas.work import Performer, PhaseWork, Place
from solver.openings.hands import Hands
from solver.openings.house import House
from solver.openings.layouts import Ability, Layout
from solver.openings.raster import Raster


@dataclass(frozen=True)
class Way:
    """One way to staff a visit: a layout with its people."""

    lead: Hands
    assistant: Hands | None
    layout: Layout

    def performer(self, phase: int) -> str:
        if self.layout.by_lead[phase] or self.assistant is None:
            return self.lead.person.id
        return self.assistant.person.id


def leads_for(request: Request, hands: dict[str, tuple[Hands, ...]], house: House) -> list[Hands]:
    """The hands that may lead this visit and master its lead's phases."""
    wish = house.wish("preferred-lead", request)
    only = {request.required_lead} if request.required_lead is not None else None
    if wish is not None and wish.hard and request.preferred_lead is not None:
        only = {request.preferred_lead} & (only or {request.preferred_lead})
    return [
        each
        for person_id, own in hands.items()
        for each in own
        if Role.LEAD in each.person.roles
        and person_id not in request.refused_leads
        and (only is None or person_id in only)
        and all(
            each.person.masters(work.skill, work.level)
            for work in request.phases
            if work.performer is Performer.LEAD
        )
    ]


def assistants_for(
    request: Request, lead: Hands, hands: dict[str, tuple[Hands, ...]]
) -> Iterator[Hands]:
    """Everybody who could assist this lead; nobody where the client wants no assistant."""
    if request.max_assistants:
        for person_id, own in hands.items():
            if person_id != lead.person.id:
                yield from (each for each in own if Role.ASSISTANT in each.person.roles)


def lead_ability(request: Request, hands: Hands, house: House, raster: Raster) -> Ability:
    """What this person can do as the visit's lead."""
    rule = house.meal(hands.person)
    inside = rule is not None and rule.inside == 1 and house.meal_is_hard
    own = tuple(_own_or_none(work, hands, raster) for work in request.phases)
    return Ability(own, meal=hands.meal if inside else 0)


def assistant_ability(request: Request, hands: Hands, raster: Raster) -> Ability:
    """What this person can do as the visit's assistant."""
    person = hands.person
    return Ability(
        own=tuple(
            _own_or_none(work, hands, raster) if work.performer is Performer.CREW else None
            for work in request.phases
        ),
        rate=hundredths(person.help_rate),
        helps=tuple(
            work.help_skill is not None and person.masters(work.help_skill)
            for work in request.phases
        ),
    )


def needs_chair(request: Request) -> bool:
    return any(work.place is not Place.NOWHERE for work in request.phases)


def own_work(work: PhaseWork, by: Hands, raster: Raster) -> int:
    """Slots this person alone takes for a phase, rounded up to the grid."""
    grid = raster.unit * raster.step
    return -(-work.minutes * hundredths(by.person.pace) // (100 * grid)) * raster.step


def hundredths(factor: float) -> int:
    """A pace or help rate in whole hundredths, halves upwards, of the number as written."""
    return int((Decimal(repr(factor)) * 100).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def _own_or_none(work: PhaseWork, hands: Hands, raster: Raster) -> int | None:
    if not hands.person.masters(work.skill, work.level):
        return None
    return own_work(work, hands, raster)
