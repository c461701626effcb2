"""Shifts and breaks by minutes after 9:00 on a grid of one minute, and what rules say of them."""

from __future__ import annotations

from datetime import timedelta

from schemas.daybook import Grid
from schemas.plan import BreakKind
from solver.checker import hard_findings
from tests.builders import (
    DAY,
    a_booking,
    a_day_book,
    a_lead,
    a_meal,
    a_phase,
    a_placed,
    a_plan,
    a_planned_phase,
    a_setting,
    a_shift,
    a_window,
    minutes_after,
)
from tests.judging import findings_of

MINUTE = Grid(minutes=1, arrivals=1)


def clock(minutes, opened=9 * 60):
    """`9:05` for 5 minutes after nine."""
    at = opened + minutes
    return f"{at // 60}:{at % 60:02}"


def shift_of(minutes, start=0):
    """A shift of so many minutes from `start` minutes after nine."""
    shift = a_shift("lead-1", clock(start), clock(start + 1))
    window = shift.window.model_copy(
        update={"end": minutes_after(shift.window.start, minutes)},
    )
    return shift.model_copy(update={"window": window})


def a_break(start, minutes, kind=BreakKind.MEAL, inside=None):
    return a_meal(clock(start), clock(start + minutes), kind=kind, inside=inside)


def a_rest(start, minutes=10, inside=None):
    return a_break(start, minutes, BreakKind.REST, inside)


def breaks_judged(code, shift, breaks=(), lead=None, settings=None, **parameters):
    """Findings of a rule on one shift from nine with these breaks, and no clients."""
    rules = settings or (a_setting(code, **parameters),)
    book = a_day_book(
        staff=(lead or a_lead(),),
        shifts=(shift if not isinstance(shift, int) else shift_of(shift),),
        rules=rules,
        grid=MINUTE,
    )
    return findings_of(code, book, a_plan(breaks=breaks))


def law_broken(settings, shift, breaks=()):
    """Rules of a law that are broken by a shift worked without a gap but for its breaks.

    The shift is `(start, end)` in minutes after nine.
    """
    (start, end), visits, placed = shift, [], []
    marks = sorted(
        (each.window.start.hour * 60 + each.window.start.minute - 540, each) for each in breaks
    )
    at = start
    for first, last in [*((m, m + each.window.minutes) for m, each in marks), (end, end)]:
        if at < first:
            visit = a_booking(f"client-{at}", "9:00", phases=(a_phase(minutes=first - at),))
            visits.append(visit)
            placed.append(a_placed(visit, phases=[a_planned_phase(clock(at), clock(first))]))
        at = max(at, last)
    book = a_day_book(
        visits=visits,
        staff=(a_lead(),),
        shifts=(shift_of(end - start, start),),
        open=(a_window("0:00", "24:00"),),
        rules=settings,
        grid=MINUTE,
    )
    codes = {setting.code for setting in settings}
    return {each.rule for each in hard_findings(book, a_plan(*placed, breaks=breaks))} & codes


def work_judged(code, spans, breaks=(), *, lead=None, setting=None, day=DAY, **parameters):
    """Findings of a rule on handwork `(start, end)` in minutes after nine, each a client's.

    A span may have a third part: how many days later.
    """
    visits, placed, days = [], [], set()
    for number, (start, end, *later) in enumerate(spans):
        date = day + timedelta(days=later[0] if later else 0)
        days.add(date)
        name = f"client-{number}"
        work = end - start - sum(rest.window.minutes for rest in breaks if rest.inside == name)
        visit = a_booking(name, "9:00", phases=(a_phase(minutes=work, breakable=True),), day=date)
        phase = a_planned_phase(clock(start), clock(end), day=date)
        visits.append(visit)
        placed.append(a_placed(visit, phases=[phase], day=date))
    book = a_day_book(
        visits=visits,
        staff=(lead or a_lead(),),
        open=tuple(a_window("0:00", "24:00", date) for date in sorted(days)),
        shifts=tuple(a_shift("lead-1", "0:00", "24:00", date) for date in sorted(days)),
        rules=(setting or a_setting(code, **parameters),),
        grid=MINUTE,
    )
    return findings_of(code, book, a_plan(*placed, breaks=breaks))
