"""Long installs of a day are shared evenly among the leads who could do them.

An install is long if its phases come to at least `minutes` of house work, whoever does it and with
whatever help. Compared are the leads with a shift that begins on the date who could lead at least
one of its long installs: they have the role and the skills of the lead's phases, are not refused,
and nobody else is required or promised. The size of a breach is how far the most and the least of
them lie apart, beyond `slack`; a day has one breach at most.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import date
from typing import Annotated

from pydantic import Field

from schemas.booking import Booking
from schemas.plan import PlannedVisit
from schemas.resources import Role, StaffMember
from schemas.rules import RuleSetting
from schemas.units import MAX_MINUTES, Number
from schemas.work import Performer
from solver.rules.reading import AnyVisit, Reading
from solver.rules.rule import Breach, Parameters, Rule, concerns


class EvenShares(Parameters):
    """What is long, and how even is even."""

    minutes: Annotated[int, Field(ge=1, le=MAX_MINUTES), Number] = 240
    """Work of at least so many minutes is a long install."""
    slack: Annotated[int, Field(ge=0, le=100), Number] = 1
    """Installs by which two leads may differ."""


def _check(reading: Reading, parameters: EvenShares, setting: RuleSetting) -> Iterator[Breach]:
    days: dict[date, list[PlannedVisit]] = defaultdict(list)
    for planned in reading.plan.visits:
        visit = reading.visits.get(planned.visit)
        if visit is None or not concerns(visit.tags, setting.scope.visit_tags):
            continue
        if sum(work.minutes for work in visit.phases) >= parameters.minutes:
            days[reading.local(reading.occupied(planned)[0]).date()].append(planned)
    for day, installs in sorted(days.items()):
        able = _able(reading, setting, day, installs)
        counts = Counter(dict.fromkeys(able, 0))
        counts.update(planned.lead for planned in installs if planned.lead in able)
        if not counts:
            continue
        most = max(counts, key=lambda lead: counts[lead])
        least = min(counts, key=lambda lead: counts[lead])
        excess = counts[most] - counts[least] - parameters.slack
        if excess > 0:
            hers = [planned for planned in installs if planned.lead == most]
            start, _ = reading.occupied(hers[0])
            yield Breach(
                detail=f"On {reading.day(start)} {reading.person(most)} leads {counts[most]} long "
                f"installs and {reading.person(least)} {counts[least]}; they may differ by "
                f"{parameters.slack}.",
                remedy=f"Give one of {reading.person(most)}'s to {reading.person(least)}.",
                visits=tuple(dict.fromkeys(planned.visit for planned in hers)),
                staff=(most, least),
                size=excess,
            )


def _able(
    reading: Reading, setting: RuleSetting, day: date, installs: list[PlannedVisit]
) -> list[str]:
    """The leads in on that day who could lead one of the installs, in the order of the book."""
    return [
        person.id
        for person in reading.day_book.staff
        if concerns(person.tags, setting.scope.staff_tags)
        and any(
            reading.local(start).date() == day for start, _ in reading.shifts.get(person.id, ())
        )
        and any(_could_lead(person, reading.visits[planned.visit]) for planned in installs)
    ]


def _could_lead(person: StaffMember, visit: AnyVisit) -> bool:
    promised = visit.promise.lead if isinstance(visit, Booking) else None
    return (
        Role.LEAD in person.roles
        and not person.retired
        and person.id not in visit.refused_leads
        and visit.required_lead in {None, person.id}
        and promised in {None, person.id}
        and all(
            person.masters(work.skill, work.level)
            for work in visit.phases
            if work.performer is Performer.LEAD
        )
    )


RULE = Rule(
    code="even-shares",
    sentence="Long installs of a day are shared evenly among the leads who could do them.",
    parameters=EvenShares,
    check=_check,
    scopes=("staff_tags", "visit_tags"),
    house_hard=False,
    house_weight=3,
    source="House figure",
    house_on=False,
    only_soft=True,
)
