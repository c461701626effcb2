"""Demand that got no place in a week, and why: nothing is guessed of what nobody asked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from zoneinfo import ZoneInfo

from schemas.booking import BookingStatus, Visit
from schemas.dealings import BookingRecord
from schemas.reports import Definition
from schemas.week_reports import (
    Loss,
    LossTotal,
    TurnedAway,
    TurnedAwayLine,
    TurnedAwayRecord,
    WhyTotal,
)
from schemas.windows import TimeWindow
from solver.figures.weeks import Week, iso_week

DEFINITIONS = (
    Definition(
        figure="nothing-found",
        numerator="Requests for which openings were asked for in vain, first for a day of this "
        "week, and that are no booking. Asked again under the same name, it is one request. A "
        "client who rang and was not looked up is not known here.",
        unit="requests",
    ),
    Definition(
        figure="waited-in-vain",
        numerator="Requests kept without a place whose last window, in this week, is over.",
        unit="requests",
    ),
    Definition(
        figure="still-waiting",
        numerator="Requests kept without a place whose first window is in this week and whose last "
        "is not over.",
        unit="requests",
    ),
    Definition(
        figure="called-off",
        numerator="Bookings called off whose place, or first window, was in this week.",
        unit="requests",
    ),
    Definition(figure="minutes", numerator="Their work, for one person of pace 1.", unit="min"),
    Definition(
        figure="reasons",
        numerator="Requests with nothing found, each under the rule that closed most places when "
        "it was last asked.",
        unit="requests",
    ),
    Definition(
        figure="served", numerator="Bookings with a place that begins in this week.", unit="visits"
    ),
)
_WHY = {
    Loss.WAITED_IN_VAIN: "Kept without a place until her last window was over.",
    Loss.STILL_WAITING: "Kept without a place; she can still be offered one.",
    Loss.CALLED_OFF: "Called off after it was agreed or kept.",
}


def turned_away(
    week: str,
    zone: str,
    asked: Iterable[TurnedAwayRecord],
    bookings: Mapping[str, BookingRecord],
    now: datetime,
) -> TurnedAway:
    """`bookings` are those of the week and those named like a record of `asked`.

    Raises InputError where there is no such week.
    """
    days = iso_week(week, zone)
    place = ZoneInfo(zone)
    lines, came = [], 0
    for record in asked:
        first = _first_day(record.windows, place)
        if not days.first_day <= first <= days.last_day:
            continue
        if record.id in bookings:
            came += 1
            continue
        worst = record.obstacles[0] if record.obstacles else None
        lines.append(
            TurnedAwayLine(
                request=record.id,
                loss=Loss.NOTHING_FOUND,
                date=first,
                technique=record.technique,
                minutes=record.minutes,
                rule=None if worst is None else worst.rule,
                why="No rule was named." if worst is None else worst.sentence,
            )
        )
    served = 0
    for booking in bookings.values():
        if booking.placed is not None:
            served += _begins_in(days, booking.placed.window.start, place)
            continue
        found = _without_place(booking, place, now)
        if found is not None and days.first_day <= found[1] <= days.last_day:
            lines.append(_line(booking, *found))
    lines.sort(key=lambda line: (line.date, line.request))
    return TurnedAway(
        week=week,
        first_day=days.first_day,
        last_day=days.last_day,
        zone=zone,
        definitions=DEFINITIONS,
        lines=tuple(lines),
        losses=tuple(
            LossTotal(loss=loss, requests=len(own), minutes=sum(line.minutes for line in own))
            for loss in Loss
            for own in [[line for line in lines if line.loss is loss]]
        ),
        reasons=_reasons(lines),
        came_after_all=came,
        served=served,
    )


def technique_of(booking: BookingRecord) -> str | None:
    return None if booking.take_off is None else booking.take_off.style.technique


def work_of(visit: Visit) -> int:
    return sum(phase.minutes for phase in visit.phases)


def _without_place(
    booking: BookingRecord, zone: ZoneInfo, now: datetime
) -> tuple[Loss, date] | None:
    windows = booking.request.windows
    if booking.status is BookingStatus.CANCELLED:
        if booking.freed is not None:
            return Loss.CALLED_OFF, booking.freed.window.start.astimezone(zone).date()
        return Loss.CALLED_OFF, _first_day(windows, zone)
    last = max(window.end for window in windows)
    if last <= now:
        begins = max(windows, key=lambda window: window.end).start
        return Loss.WAITED_IN_VAIN, begins.astimezone(zone).date()
    return Loss.STILL_WAITING, _first_day(windows, zone)


def _line(booking: BookingRecord, loss: Loss, day: date) -> TurnedAwayLine:
    return TurnedAwayLine(
        request=booking.id,
        loss=loss,
        date=day,
        technique=technique_of(booking),
        minutes=work_of(booking.request),
        rule=None,
        why=_WHY[loss],
    )


def _reasons(lines: Iterable[TurnedAwayLine]) -> tuple[WhyTotal, ...]:
    of: dict[tuple[str, str], list[TurnedAwayLine]] = defaultdict(list)
    for line in lines:
        if line.loss is Loss.NOTHING_FOUND:
            of[line.rule or "unknown", line.why].append(line)
    totals = [
        WhyTotal(
            rule=rule,
            sentence=why,
            requests=len(own),
            minutes=sum(line.minutes for line in own),
        )
        for (rule, why), own in of.items()
    ]
    return tuple(sorted(totals, key=lambda total: (-total.requests, total.rule, total.sentence)))


def _first_day(windows: Iterable[TimeWindow], zone: ZoneInfo) -> date:
    return min(window.start for window in windows).astimezone(zone).date()


def _begins_in(week: Week, start: datetime, zone: ZoneInfo) -> bool:
    return week.first_day <= start.astimezone(zone).date() <= week.last_day
