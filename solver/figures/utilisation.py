"""Chair utilisation of one ISO week: by chair and day, by hour of the local clock, and in all."""

from __future__ import annotations

from collections.abc import Iterable

from schemas.daybook import DayBook
from schemas.reports import (
    ChairDay,
    ChairHour,
    ChairMinutes,
    ChairUtilisation,
    ChairWeek,
    Definition,
)
from solver.figures.occupancy import ChairUse, chair_use
from solver.figures.weeks import iso_week
from solver.takeoff.work import with_work

DEFINITIONS = (
    Definition(
        figure="open",
        numerator="Minutes inside opening hours in which the chair is neither closed nor retired.",
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
        numerator="hands-on + waiting + turnaround, of visits placed and not cancelled.",
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
)


def chair_utilisation(day_book: DayBook, week: str) -> ChairUtilisation:
    """The use of every chair in `week`, written like `2026-W49`.

    Retired chairs are not listed. Raises InputError where there is no such week,
    StyleError for a take-off that does not make sense.
    """
    days = iso_week(week, day_book.zone)
    day_book = with_work(day_book)
    chairs: list[ChairWeek] = []
    uses: list[ChairUse] = []
    for chair in day_book.chairs:
        use = chair_use(day_book, chair, days)
        if chair.retired:
            continue
        uses.append(use)
        chairs.append(
            ChairWeek(
                chair=chair.id,
                name=chair.name,
                total=_minutes([use], (1 << days.minutes) - 1),
                days=tuple(
                    ChairDay(date=day, minutes=_minutes([use], bits))
                    for day, bits in days.days.items()
                ),
            )
        )
    opened = 0
    for use in uses:
        opened |= use.open
    return ChairUtilisation(
        week=week,
        first_day=days.first_day,
        last_day=days.last_day,
        zone=day_book.zone,
        definitions=DEFINITIONS,
        chairs=tuple(chairs),
        hours=tuple(
            ChairHour(date=day, hour=hour, minutes=_minutes(uses, bits))
            for (day, hour), bits in days.hours.items()
            if opened & bits
        ),
        total=_minutes(uses, (1 << days.minutes) - 1),
    )


def _minutes(uses: Iterable[ChairUse], bits: int) -> ChairMinutes:
    is_open = hands_on = waiting = turnaround = 0
    for use in uses:
        is_open += (use.open & bits).bit_count()
        hands_on += (use.hands_on & bits).bit_count()
        waiting += (use.waiting & bits).bit_count()
        turnaround += (use.turnaround & bits).bit_count()
    occupied = hands_on + waiting + turnaround
    return ChairMinutes(
        open=is_open,
        hands_on=hands_on,
        waiting=waiting,
        turnaround=turnaround,
        occupied=occupied,
        utilisation=occupied / is_open if is_open else None,
    )
