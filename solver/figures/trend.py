"""Week against week."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from schemas.daybook import DayBook
from schemas.reports import Definition
from schemas.visit_clock import VisitClock
from schemas.week_reports import TrendWeek, WeekTrend
from solver.figures.people import staff_utilisation
from solver.figures.utilisation import chair_utilisation

DEFINITIONS = (
    Definition(
        figure="chairs",
        numerator="Minutes of all chairs, as the report on chair utilisation defines them.",
        unit="min",
    ),
    Definition(
        figure="leads",
        numerator="Minutes of all leads, as the report on staff utilisation defines them; likewise "
        "assistants.",
        unit="min",
    ),
    Definition(
        figure="change",
        numerator="utilisation of the chairs as planned, less that of the week before",
        unit="share",
    ),
)


def week_trend(
    day_book: DayBook, weeks: Iterable[str], clocks: Mapping[str, VisitClock] | None = None
) -> WeekTrend:
    """`weeks` in order, the oldest first; the day book holds all their days.

    Raises InputError where there is no such week.
    """
    rows: list[TrendWeek] = []
    before: float | None = None
    for week in weeks:
        chairs = chair_utilisation(day_book, week, clocks)
        people = staff_utilisation(day_book, week)
        share = chairs.total.utilisation
        rows.append(
            TrendWeek(
                week=week,
                first_day=chairs.first_day,
                chairs=chairs.total,
                actual=chairs.actual,
                leads=people.leads,
                assistants=people.assistants,
                visits=chairs.placed,
                change=None if share is None or before is None else share - before,
            )
        )
        before = share
    return WeekTrend(zone=day_book.zone, definitions=DEFINITIONS, weeks=tuple(rows))
