"""How the hours of leads and assistants were used, and who worked beside whom."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from math import fsum

from schemas.daybook import DayBook
from schemas.reports import Definition
from schemas.resources import Role
from schemas.week_reports import (
    Pair,
    Pairing,
    PairMinutes,
    StaffDay,
    StaffMinutes,
    StaffUtilisation,
    StaffWeek,
)
from solver.figures.minutes import union
from solver.figures.occupancy import placed_bookings
from solver.figures.weeks import Week, iso_week, of_week

STAFF_DEFINITIONS = (
    Definition(
        figure="shift", numerator="Minutes of her shifts; each minute counted once.", unit="min"
    ),
    Definition(
        figure="breaks",
        numerator="Minutes of her breaks on the book inside her shifts.",
        unit="min",
    ),
    Definition(figure="available", numerator="shift - breaks", unit="min"),
    Definition(
        figure="leading",
        numerator="Available minutes in which she carries a phase of an install she leads.",
        unit="min",
    ),
    Definition(
        figure="carrying",
        numerator="Other available minutes in which she carries a phase of another's install.",
        unit="min",
    ),
    Definition(
        figure="helping",
        numerator="Other available minutes in which she braids beside another.",
        unit="min",
    ),
    Definition(figure="worked", numerator="leading + carrying + helping", unit="min"),
    Definition(figure="idle", numerator="available - worked", unit="min"),
    Definition(
        figure="beyond", numerator="Minutes of work outside her shifts, breaks off.", unit="min"
    ),
    Definition(
        figure="utilisation",
        numerator="worked minutes",
        denominator="available minutes; no figure where there are none",
        unit="share",
        source="ISO 22400-2, cited from memory: worker efficiency, actual personnel work time over "
        "actual personnel attendance time; here both are as planned, and breaks are no attendance.",
    ),
)
PAIR_DEFINITIONS = (
    Definition(
        figure="visits", numerator="Visits of the lead on which the other did anything.", unit="1"
    ),
    Definition(
        figure="help",
        numerator="Minutes the assistant is planned to braid beside whoever carries the phase.",
        unit="min",
    ),
    Definition(
        figure="saved",
        numerator="help x the assistant's help rate, as her document states it now.",
        unit="min",
    ),
    Definition(
        figure="carried",
        numerator="Minutes of phases she carries herself on the lead's installs, breaks off.",
        unit="min",
    ),
)


@dataclass
class PersonUse:
    """One person's week as bits; `leading`, `carrying` and `helping` never overlap."""

    shift: int = 0
    breaks: int = 0
    leading: int = 0
    carrying: int = 0
    helping: int = 0

    @property
    def worked(self) -> int:
        return self.leading | self.carrying | self.helping

    @property
    def free(self) -> int:
        """On shift, not in a break and not at work."""
        return self.shift & ~self.breaks & ~self.worked


def people_use(day_book: DayBook, week: Week) -> dict[str, PersonUse]:
    """Everybody of the book, in its order."""
    uses = {person.id: PersonUse() for person in day_book.staff}
    for person, use in uses.items():
        use.shift = union(week, (each.window for each in day_book.shifts if each.staff == person))
        use.breaks = union(week, (each.window for each in day_book.breaks if each.staff == person))
    for _, visit in placed_bookings(day_book):
        for phase in visit.phases:
            use = uses.setdefault(phase.performer, PersonUse())
            if phase.performer == visit.lead:
                use.leading |= week.bits(phase.window)
            else:
                use.carrying |= week.bits(phase.window)
            for help_ in phase.help:
                uses.setdefault(help_.staff, PersonUse()).helping |= week.bits(help_.window)
    for use in uses.values():
        use.leading &= ~use.breaks
        use.carrying &= ~(use.breaks | use.leading)
        use.helping &= ~(use.breaks | use.leading | use.carrying)
    return uses


def staff_utilisation(day_book: DayBook, week: str) -> StaffUtilisation:
    """Of everybody who has a shift or work in `week`. Raises InputError for no such week."""
    days = iso_week(week, day_book.zone)
    whole = (1 << days.minutes) - 1
    day_book = of_week(day_book, days)
    uses = people_use(day_book, days)
    there = [
        (person, uses[person.id])
        for person in day_book.staff
        if uses[person.id].shift or uses[person.id].worked
    ]
    leads = [use for person, use in there if Role.LEAD in person.roles]
    assistants = [use for person, use in there if Role.LEAD not in person.roles]
    return StaffUtilisation(
        week=week,
        first_day=days.first_day,
        last_day=days.last_day,
        zone=day_book.zone,
        definitions=STAFF_DEFINITIONS,
        staff=tuple(
            StaffWeek(
                staff=person.id,
                name=person.name,
                lead=Role.LEAD in person.roles,
                total=_minutes([use], whole),
                days=tuple(
                    StaffDay(date=day, minutes=_minutes([use], bits))
                    for day, bits in days.days.items()
                ),
            )
            for person, use in there
        ),
        leads=_minutes(leads, whole),
        assistants=_minutes(assistants, whole),
        total=_minutes([*leads, *assistants], whole),
    )


def _minutes(uses: Iterable[PersonUse], bits: int) -> StaffMinutes:
    shift = breaks = leading = carrying = helping = beyond = 0
    for use in uses:
        inside = use.shift & bits
        shift += inside.bit_count()
        breaks += (use.breaks & inside).bit_count()
        leading += (use.leading & inside).bit_count()
        carrying += (use.carrying & inside).bit_count()
        helping += (use.helping & inside).bit_count()
        beyond += (use.worked & bits & ~use.shift).bit_count()
    available, worked = shift - breaks, leading + carrying + helping
    return StaffMinutes(
        shift=shift,
        breaks=breaks,
        available=available,
        leading=leading,
        carrying=carrying,
        helping=helping,
        worked=worked,
        idle=available - worked,
        beyond=beyond,
        utilisation=worked / available if available else None,
    )


@dataclass
class _Together:
    visits: set[str] = field(default_factory=set)
    help: int = 0
    carried: int = 0


def pairing(day_book: DayBook, week: str) -> Pairing:
    """Who was beside whom in `week`. Raises InputError for no such week."""
    days = iso_week(week, day_book.zone)
    day_book = of_week(day_book, days)
    breaks = {
        person.id: union(days, (each.window for each in day_book.breaks if each.staff == person.id))
        for person in day_book.staff
    }
    rates = {person.id: person.help_rate for person in day_book.staff}
    pairs: dict[tuple[str, str], _Together] = defaultdict(_Together)
    for _, visit in placed_bookings(day_book):
        for phase in visit.phases:
            carried = (days.bits(phase.window) & ~breaks.get(phase.performer, 0)).bit_count()
            if phase.performer != visit.lead and carried:
                pair = pairs[visit.lead, phase.performer]
                pair.carried += carried
                pair.visits.add(visit.visit)
            for help_ in phase.help:
                beside = (days.bits(help_.window) & ~breaks.get(help_.staff, 0)).bit_count()
                if help_.staff != visit.lead and beside:
                    pair = pairs[visit.lead, help_.staff]
                    pair.help += beside
                    pair.visits.add(visit.visit)
    lines = tuple(
        Pair(
            lead=lead,
            assistant=other,
            minutes=PairMinutes(
                visits=len(pair.visits),
                help=pair.help,
                saved=pair.help * rates.get(other, 0.0),
                carried=pair.carried,
            ),
        )
        for (lead, other), pair in sorted(pairs.items())
    )
    return Pairing(
        week=week,
        first_day=days.first_day,
        last_day=days.last_day,
        zone=day_book.zone,
        definitions=PAIR_DEFINITIONS,
        pairs=lines,
        total=PairMinutes(
            visits=sum(line.minutes.visits for line in lines),
            help=sum(line.minutes.help for line in lines),
            saved=fsum(line.minutes.saved for line in lines),
            carried=sum(line.minutes.carried for line in lines),
        ),
    )
