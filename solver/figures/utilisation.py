"""Chair utilisation of one ISO week: by chair and day, by hour of the local clock, and in all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from schemas.daybook import DayBook
from schemas.reports import (
    ActualMinutes,
    ChairDay,
    ChairHour,
    ChairMinutes,
    ChairUtilisation,
    ChairWeek,
    Definition,
)
from schemas.visit_clock import VisitClock
from solver.figures.occupancy import ChairUse, chair_uses, clocked_window, placed_bookings
from solver.figures.weeks import iso_week, of_week
from solver.takeoff.work import with_work

DEFINITIONS = (
    Definition(
        figure="open",
        numerator="Minutes inside opening hours in which the chair is neither closed nor retired.",
        unit="min",
    ),
    Definition(
        figure="closed",
        numerator="Minutes inside opening hours in which the chair is closed.",
        unit="min",
    ),
    Definition(
        figure="hands-on",
        numerator="Open minutes in which somebody works on the client of the chair's visit, at the "
        "chair or the basin: performers outside their breaks, and help. Hair prep aside is not.",
        unit="min",
    ),
    Definition(
        figure="waiting",
        numerator="The other open minutes of the visit: between phases, while hair is prepared "
        "aside, and breaks in which nobody else goes on.",
        unit="min",
    ),
    Definition(
        figure="turnaround",
        numerator="Minutes of cleaning after a visit as the rule in force asks, cut off at the "
        "next visit, at closing time and at a closure; each minute counted once.",
        unit="min",
    ),
    Definition(
        figure="occupied",
        numerator="hands-on + waiting + turnaround, of visits placed and not cancelled; as it came "
        "about, present + turnaround.",
        unit="min",
    ),
    Definition(
        figure="utilisation",
        numerator="occupied minutes",
        denominator="open minutes; no figure where there are none",
        unit="share",
        source="ISO 22400-2, cited from memory: allocation efficiency, actual unit busy time over "
        "planned busy time. hands-on over occupied would be its utilisation efficiency.",
    ),
    Definition(
        figure="present",
        numerator="Open minutes in which a client has the chair: from start to finish by the clock "
        "where both were tapped, else as planned. Each minute counted once.",
        unit="min",
    ),
)


def chair_utilisation(
    day_book: DayBook, week: str, clocks: Mapping[str, VisitClock] | None = None
) -> ChairUtilisation:
    """The use of every chair in `week`, written like `2026-W49`.

    `clocks` are what was tapped of visits, by booking. Retired chairs are not listed. Raises
    InputError where there is no such week, StyleError for a take-off that does not make sense.
    """
    days = iso_week(week, day_book.zone)
    day_book = of_week(with_work(day_book), days)
    whole = (1 << days.minutes) - 1
    used = [(chair, use) for chair, use in chair_uses(day_book, days, clocks) if not chair.retired]
    uses = [use for _, use in used]
    opened = 0
    for use in uses:
        opened |= use.open
    there = [
        visit
        for _, visit in placed_bookings(day_book)
        if days.bits(visit.window) and visit.chair is not None
    ]
    return ChairUtilisation(
        week=week,
        first_day=days.first_day,
        last_day=days.last_day,
        zone=day_book.zone,
        definitions=DEFINITIONS,
        chairs=tuple(
            ChairWeek(
                chair=chair.id,
                name=chair.name,
                total=planned_minutes([use], whole),
                actual=actual_minutes([use], whole),
                days=tuple(
                    ChairDay(
                        date=day,
                        minutes=planned_minutes([use], bits),
                        actual=actual_minutes([use], bits),
                    )
                    for day, bits in days.days.items()
                ),
            )
            for chair, use in used
        ),
        hours=tuple(
            ChairHour(
                date=day,
                hour=hour,
                minutes=planned_minutes(uses, bits),
                actual=actual_minutes(uses, bits),
            )
            for (day, hour), bits in days.hours.items()
            if opened & bits
        ),
        total=planned_minutes(uses, whole),
        actual=actual_minutes(uses, whole),
        placed=len(there),
        clocked=sum(clocked_window(visit, clocks or {}) is not None for visit in there),
    )


def planned_minutes(uses: Iterable[ChairUse], bits: int) -> ChairMinutes:
    """The minutes among `bits` of all these chairs together, as planned."""
    is_open = closed = hands_on = waiting = turnaround = 0
    for use in uses:
        is_open += (use.open & bits).bit_count()
        closed += (use.closed & bits).bit_count()
        hands_on += (use.hands_on & bits).bit_count()
        waiting += (use.waiting & bits).bit_count()
        turnaround += (use.turnaround & bits).bit_count()
    occupied = hands_on + waiting + turnaround
    return ChairMinutes(
        open=is_open,
        closed=closed,
        hands_on=hands_on,
        waiting=waiting,
        turnaround=turnaround,
        occupied=occupied,
        utilisation=occupied / is_open if is_open else None,
    )


def actual_minutes(uses: Iterable[ChairUse], bits: int) -> ActualMinutes:
    """The same, as it came about."""
    is_open = present = turnaround = 0
    for use in uses:
        is_open += (use.open & bits).bit_count()
        present += (use.present & bits).bit_count()
        turnaround += (use.cleaned & bits).bit_count()
    occupied = present + turnaround
    return ActualMinutes(
        present=present,
        turnaround=turnaround,
        occupied=occupied,
        utilisation=occupied / is_open if is_open else None,
    )
