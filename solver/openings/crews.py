"""Every way to staff a visit, with its times: who does what, how much help, a break inside or not.

The phases lie back to back from the start. The lead does the lead's phases and at least one phase;
each crew phase is done by the lead or by the one assistant; help is one stretch in one shared phase
that the lead performs. Help of `h` minutes on the grid makes the phase

    d(h) = max(g, ceil_g(work + break inside - h * e))        with h <= d(h)

minutes long (`e` the help rate in hundredths, `g` the grid). For every length shorter than without
help the least such `h` is taken: more help for the same length fits nowhere else. A break inside is
the lead's, in a breakable phase that she performs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from itertools import product

from schemas.booking import Request
from schemas.resources import Role
from schemas.work import Performer, PhaseWork, Place
from solver.openings.hands import Hands, Piece
from solver.openings.house import House
from solver.openings.raster import Raster


@dataclass(frozen=True)
class Way:
    """One way to staff a visit. Offsets and lengths are slots from the visit's start."""

    lead: Hands
    assistant: Hands | None
    performers: tuple[str, ...]
    bounds: tuple[int, ...]
    """Where each phase begins, and where the last one ends."""
    helped: int | None = None
    """Which phase is helped with."""
    help: int = 0
    inside: int | None = None
    """Which phase the lead's break lies in."""

    @property
    def length(self) -> int:
        return self.bounds[-1]

    def pieces(self, person: str) -> tuple[Piece, ...]:
        """The phases of `person` as stretches, abutting ones joined."""
        joined: list[Piece] = []
        for index, performer in enumerate(self.performers):
            if performer != person:
                continue
            start, end = self.bounds[index], self.bounds[index + 1]
            if joined and joined[-1][1] == start:
                joined[-1] = (joined[-1][0], end)
            else:
                joined.append((start, end))
        return tuple(joined)


def hundredths(factor: float) -> int:
    """A pace or help rate in whole hundredths, halves upwards, of the number as written."""
    return int((Decimal(repr(factor)) * 100).quantize(Decimal(1), rounding=ROUND_HALF_UP))


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
) -> Iterator[Hands | None]:
    """Nobody, and everybody who could assist this lead."""
    yield None
    if request.max_assistants:
        for person_id, own in hands.items():
            if person_id != lead.person.id:
                yield from (each for each in own if Role.ASSISTANT in each.person.roles)


def ways(
    request: Request, lead: Hands, assistant: Hands | None, raster: Raster, inside: bool
) -> Iterator[Way]:
    """All ways for this crew; with an assistant, only those in which she has something to do.

    `inside` says that the lead's meal break may lie inside a phase.
    """
    people = [lead] if assistant is None else [lead, assistant]
    able = [
        [
            each
            for each in people
            if (work.performer is Performer.CREW or each is lead)
            and each.person.masters(work.skill, work.level)
        ]
        for work in request.phases
    ]
    for performers in product(*able):
        if lead not in performers:
            continue  # who does nothing on a visit does not lead it
        own = [
            own_work(work, by, raster) for work, by in zip(request.phases, performers, strict=True)
        ]
        names = tuple(by.person.id for by in performers)
        stretched: list[int | None] = [None]
        if inside and lead.meal:
            stretched += [
                index
                for index, work in enumerate(request.phases)
                if work.breakable and performers[index] is lead
            ]
        for broken in stretched:
            lengths = list(own)
            if broken is not None:
                lengths[broken] += lead.meal
            if assistant is None or assistant in performers:
                yield Way(lead, assistant, names, _bounds(lengths), inside=broken)
            if assistant is None:
                continue
            for index, work in enumerate(request.phases):
                if not _may_help(assistant, work) or performers[index] is not lead:
                    continue
                for length, help_ in _helped(lengths[index], assistant, raster.step):
                    if broken == index and length < lead.meal:
                        continue
                    shorter = [*lengths[:index], length, *lengths[index + 1 :]]
                    bounds = _bounds(shorter)
                    yield Way(lead, assistant, names, bounds, index, help_, broken)


def needs_chair(request: Request) -> bool:
    return any(work.place is not Place.NOWHERE for work in request.phases)


def own_work(work: PhaseWork, by: Hands, raster: Raster) -> int:
    """Slots this person alone takes for a phase, rounded up to the grid."""
    grid = raster.unit * raster.step
    return -(-work.minutes * hundredths(by.person.pace) // (100 * grid)) * raster.step


def _may_help(assistant: Hands, work: PhaseWork) -> bool:
    return work.help_skill is not None and assistant.person.masters(work.help_skill)


def _helped(alone: int, assistant: Hands, step: int) -> Iterator[tuple[int, int]]:
    """`(length, least help)` for every length that help can bring the phase down to."""
    rate = hundredths(assistant.person.help_rate)
    shortest = alone
    help_ = step
    while True:
        length = max(step, -(-(100 * alone - rate * help_) // (100 * step)) * step)
        if help_ > length:
            return
        if length < shortest:
            yield length, help_
            shortest = length
        help_ += step


def _bounds(lengths: list[int]) -> tuple[int, ...]:
    bounds = [0]
    for length in lengths:
        bounds.append(bounds[-1] + length)
    return tuple(bounds)
