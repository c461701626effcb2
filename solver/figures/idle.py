"""Where the idle minutes of the chairs come from.

Each idle minute of a chair gets one cause, the first of these that applies:

1. `too_short`: the hole it lies in, on its chair, is shorter than the shortest visit on sale;
2. `no_lead`: of `k` chairs idle in the same minute, all but as many as leads are free;
3. `no_assistant`: of those left, all but as many as assistants are free (where there are any);
4. `no_client`: a chair and the hands for it were free, and nobody came.

A person is free who is on shift, at no work and in no break.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from schemas.daybook import DayBook
from schemas.reports import Definition
from schemas.resources import Role
from schemas.week_reports import (
    IdleCauses,
    IdleDay,
    IdleHour,
    IdleMinutes,
    TurnedAwayRecord,
)
from solver.bits import Stretches, span
from solver.figures.bottleneck import Moments, Wanted, bottleneck
from solver.figures.minutes import Counts, as_array, counted, union
from solver.figures.occupancy import chair_uses
from solver.figures.people import PersonUse, people_use
from solver.figures.weeks import Week, iso_week, of_week
from solver.takeoff.work import with_work

DEFINITIONS = (
    Definition(
        figure="idle",
        numerator="Open minutes of a chair with no visit and no turnaround. Each has one cause, "
        "the first of those below that applies.",
        unit="min",
    ),
    Definition(
        figure="too-short",
        numerator="It lies in a hole of its chair that is shorter than the shortest visit on sale.",
        unit="min",
    ),
    Definition(
        figure="no-lead",
        numerator="Chairs idle in the same minute beyond the leads free in it: on shift, at no "
        "work, in no break.",
        unit="min",
    ),
    Definition(
        figure="no-assistant",
        numerator="Of the chairs left, those beyond the assistants free in the minute; none where "
        "the house has no assistants. A lead could have worked there alone, and longer.",
        unit="min",
    ),
    Definition(
        figure="no-client",
        numerator="The rest: chair, lead and assistant were free, and nobody came.",
        unit="min",
    ),
    Definition(
        figure="bottleneck",
        numerator="The stretch of one day, gaps of up to 15 minutes bridged, that cost most "
        "minutes: chairs idle for want of a lead, of one who does what was asked for in vain, or "
        "of an assistant; or leads idle for want of a chair. What takes less than half an hour in "
        "all is none.",
        unit="sentence",
    ),
)


@dataclass(frozen=True)
class _Causes:
    """For each minute of the week, how many chairs stand idle for each cause."""

    too_short: Counts
    no_lead: Counts
    no_assistant: Counts
    no_client: Counts

    def among(self, bits: int, minutes: int) -> IdleMinutes:
        mask = as_array(bits, minutes)
        parts = {name: int((counts * mask).sum()) for name, counts in self.__dict__.items()}
        return IdleMinutes(idle=sum(parts.values()), **parts)


def idle_causes(
    day_book: DayBook, week: str, shortest: int, asked: Iterable[TurnedAwayRecord] = ()
) -> IdleCauses:
    """Idle minutes of `week` by cause; `shortest` is the shortest visit on sale, in minutes.

    `asked` are requests for which nothing was found: a technique that is asked for in vain, while
    others are free, may be what holds the week back.
    Raises InputError where there is no such week, StyleError as `with_work`.
    """
    days = iso_week(week, day_book.zone)
    day_book = of_week(with_work(day_book), days)
    moments, holes = _moments(day_book, days, shortest, asked)
    causes = _causes(moments, counted(holes, days.minutes))
    opened = 0
    for window in day_book.open:
        opened |= days.bits(window)
    return IdleCauses(
        week=week,
        first_day=days.first_day,
        last_day=days.last_day,
        zone=day_book.zone,
        definitions=DEFINITIONS,
        shortest=shortest,
        days=tuple(
            IdleDay(date=day, minutes=causes.among(bits, days.minutes))
            for day, bits in days.days.items()
        ),
        hours=tuple(
            IdleHour(date=day, hour=hour, minutes=causes.among(bits, days.minutes))
            for (day, hour), bits in days.hours.items()
            if opened & bits
        ),
        total=causes.among((1 << days.minutes) - 1, days.minutes),
        bottleneck=bottleneck(moments, causes.no_lead, causes.no_assistant, days),
    )


def _moments(
    day_book: DayBook, week: Week, shortest: int, asked: Iterable[TurnedAwayRecord]
) -> tuple[Moments, list[int]]:
    """Chairs and hands minute by minute, and the holes that are too short to sell."""
    idle, holes, taken, opened = [], [], [], []
    for _, use in chair_uses(day_book, week):
        hole = _short(use.idle, shortest)
        holes.append(hole)
        idle.append(use.idle & ~hole)
        opened.append(use.open)
        taken.append(use.open & ~use.idle)
    people = people_use(day_book, week)
    leads = [people[each.id] for each in day_book.staff if Role.LEAD in each.roles]
    others = [people[each.id] for each in day_book.staff if Role.LEAD not in each.roles]
    moments = Moments(
        idle_chairs=counted(idle, week.minutes),
        open_chairs=counted(opened, week.minutes),
        taken_chairs=counted(taken, week.minutes),
        leads_in=counted((use.shift for use in leads), week.minutes),
        leads_free=counted((use.free for use in leads), week.minutes),
        leads_working=counted((use.worked for use in leads), week.minutes),
        assistants_in=counted((use.shift for use in others), week.minutes),
        assistants_free=counted((use.free for use in others), week.minutes),
        has_assistants=bool(others),
        wanted=tuple(_wanted(day_book, week, people, asked)),
    )
    return moments, holes


def _wanted(
    day_book: DayBook,
    week: Week,
    people: Mapping[str, PersonUse],
    asked: Iterable[TurnedAwayRecord],
) -> Iterator[Wanted]:
    """The techniques that were asked for in vain, with the leads who do them."""
    of: dict[str, list[TurnedAwayRecord]] = defaultdict(list)
    for record in asked:
        if record.technique is not None:
            of[record.technique].append(record)
    for technique, records in sorted(of.items()):
        able = [
            people[each.id]
            for each in day_book.staff
            if Role.LEAD in each.roles and each.masters(technique)
        ]
        windows = tuple(union(week, record.windows) for record in records)
        asked_bits = 0
        for each in windows:
            asked_bits |= each
        yield Wanted(
            technique=technique,
            windows=windows,
            asked=as_array(asked_bits, week.minutes),
            leads_in=counted((use.shift for use in able), week.minutes),
            leads_free=counted((use.free for use in able), week.minutes),
            leads_working=counted((use.worked for use in able), week.minutes),
        )


def _short(idle: int, shortest: int) -> int:
    stretches = Stretches.of(idle)
    short = 0
    for start, end in zip(stretches.starts, stretches.ends, strict=True):
        if end - start < shortest:
            short |= span(start, end)
    return short


def _causes(moments: Moments, too_short: Counts) -> _Causes:
    zero = np.zeros_like(too_short)
    no_lead = np.maximum(moments.idle_chairs - moments.leads_free, 0)
    left = moments.idle_chairs - no_lead
    lacking = np.maximum(left - moments.assistants_free, 0)
    no_assistant = lacking if moments.has_assistants else zero
    return _Causes(too_short, no_lead, no_assistant, left - no_assistant)
