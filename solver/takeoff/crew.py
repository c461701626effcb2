"""Phases for the day book, and how long each crew takes.

The visit's minutes at the booked percentile are spread over its phases in proportion to their
means, in steps of five, so the phases add up to what the desk books for a lead of pace 1.

With help `h` beside her all the while (the sum of the help rates), braiding lasts `work / (1 + h)`.
Help varies as well: where `h` has the CV `v`, `1 / (1 + h)` has about the CV `v h / (1 + h)`. It is
taken as lognormal, so that the braiding stays one, with `1 + cv^2` the product of both.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import timedelta
from itertools import combinations
from math import ceil, floor, sqrt
from typing import NamedTuple

from schemas.takeoff import CrewMinutes, Helper, TakeOffRequest
from schemas.work import (
    BRAIDING,
    FINISH,
    HAIR_PREP,
    TAKE_DOWN,
    WASH,
    Performer,
    PhaseWork,
    Place,
)
from solver.takeoff.odds import Lognormal, added_up
from solver.takeoff.rates import RateBook

STEP = 5
"""Minutes that booked times are multiples of."""
ASSIST = "assist"
"""Skill tag an assistant needs to braid beside the lead."""
ON_HER_OWN = 3
"""Level a lead needs in the technique of an install."""
_PLACE = {TAKE_DOWN: Place.CHAIR, WASH: Place.BASIN, HAIR_PREP: Place.NOWHERE, FINISH: Place.CHAIR}
_ROUNDING = 1e-9
MOST_HANDS = 3
"""Assistants that the table goes up to."""


def steps_up(minutes: float) -> int:
    """The multiple of five at or above `minutes`."""
    return ceil(minutes / STEP - _ROUNDING) * STEP


class Booking(NamedTuple):
    """What the desk books for the lead alone."""

    percentile: int
    minutes: float
    """Minutes at the percentile asked."""
    phases: int

    def rounded_up(self) -> int:
        """The minutes, rounded up to five, and at least five for each phase."""
        return max(STEP * self.phases, steps_up(self.minutes))


def spread(minutes: float, means: Mapping[str, float]) -> dict[str, int]:
    """`minutes` over the phases in proportion to `means`: multiples of five, each at least five.

    Their sum is `minutes` rounded up to five, or five for each phase where that is more. The steps
    left over after rounding down go to the phases that lost most.
    """
    steps = max(ceil(minutes / STEP - _ROUNDING), len(means))
    whole = sum(means.values())
    beyond = {kind: max(0.0, steps * mean / whole - 1) for kind, mean in means.items()}
    scale = (steps - len(means)) / (sum(beyond.values()) or 1.0)
    shares = {kind: share * scale for kind, share in beyond.items()}
    given = {kind: floor(share + _ROUNDING) for kind, share in shares.items()}
    left = steps - len(means) - sum(given.values())
    for kind in sorted(shares, key=lambda kind: given[kind] - shares[kind])[:left]:
        given[kind] += 1
    return {kind: (1 + count) * STEP for kind, count in given.items()}


def phase_work(minutes: Mapping[str, int], technique: str) -> tuple[PhaseWork, ...]:
    """The phases as a planner takes them. Hair prep is done at the side table: hands, no chair."""
    return tuple(
        PhaseWork(
            kind=kind,
            minutes=of_phase,
            skill=technique,
            level=ON_HER_OWN,
            performer=Performer.LEAD,
            shared=True,
            help_skill=ASSIST,
            breakable=True,
        )
        if kind == BRAIDING
        else PhaseWork(
            kind=kind,
            minutes=of_phase,
            skill=kind,
            performer=Performer.CREW,
            place=_PLACE[kind],
        )
        for kind, of_phase in minutes.items()
    )


def crew_table(
    visit: Lognormal,
    phases: Mapping[str, Lognormal],
    booking: Booking,
    request: TakeOffRequest,
    rates: RateBook,
) -> tuple[CrewMinutes, ...]:
    """The visit's length for the lead alone, which is `visit`, and with one to three assistants.

    Only braiding is shared, each further helper counting `crowding` times less than the one before,
    for want of room round the head. Assistants with names come in every crew there is of them.
    """
    rows: dict[tuple[Helper, ...], CrewMinutes] = {}
    alone = booking.rounded_up()
    for crew in _crews(request.helpers, rates["help-rate"]):
        whole = visit
        if crew:
            help_ = sum(
                helper.help_rate * rates["crowding"] ** before for before, helper in enumerate(crew)
            )
            shared = {**phases, BRAIDING: helped(phases[BRAIDING], help_, rates["cv-help"])}
            whole = added_up(tuple(shared.values()), rates["common-share"])
        booked = booking._replace(minutes=whole.percentile(booking.percentile)).rounded_up()
        start = request.start
        rows[crew] = CrewMinutes(
            crew=_words(crew, named=bool(request.helpers)),
            assistants=len(crew),
            mean=whole.mean,
            cv=whole.cv,
            p50=whole.percentile(50),
            p80=whole.percentile(80),
            p95=whole.percentile(95),
            booked=booked,
            saved=max(0, alone - booked),
            saved_by_last=max(0, rows[crew[:-1]].booked - booked) if crew else 0,
            finish=None if start is None else start + timedelta(minutes=booked),
        )
    return tuple(rows.values())


def _crews(helpers: tuple[Helper, ...], help_rate: float) -> Iterator[tuple[Helper, ...]]:
    """Every crew, the smaller ones first; without names so many equal assistants."""
    if helpers:
        for size in range(len(helpers) + 1):
            yield from combinations(helpers, size)
        return
    house = Helper(name="assistant", help_rate=help_rate)
    yield from ((house,) * size for size in range(MOST_HANDS + 1))


def helped(braiding: Lognormal, help_: float, spread_of_help: float) -> Lognormal:
    """The braiding with help `help_` beside the lead, whose own CV is `spread_of_help`."""
    shortened = spread_of_help * help_ / (1 + help_)
    cv = sqrt((1 + braiding.cv**2) * (1 + shortened**2) - 1)
    return Lognormal(braiding.mean / (1 + help_), cv)


def _words(hands: tuple[Helper, ...], *, named: bool) -> str:
    if not hands:
        return "lead alone"
    if named:
        return ("lead with " + ", ".join(helper.name for helper in hands))[:200]
    return f"lead with {len(hands)} assistant" + ("s" if len(hands) > 1 else "")
