"""How far a repair may go, one step after the other: overtime first, then the house's rules."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.plan import Plan
from schemas.resources import Shift
from schemas.windows import TimeWindow
from solver.checker import check
from solver.days import DayPart
from solver.repair.sickness import stop_handed
from solver.repair.situation import Situation
from solver.rules import default_settings, rule

COMFORT = frozenset(
    {
        *("longest-wait", "turnaround", "preferred-lead", "preferred-time"),
        *("no-small-holes", "fewest-changes", "latest-start"),
    }
)
"""Rules of comfort: they are bent before anybody's break is."""


def attempts(situation: Situation, part: DayPart) -> Iterator[Situation]:
    """The situation as it is, then with more and more that is bent.

    A client who stays past her window or waits, a chair not cleaned; an hour of overtime; an
    install that changed hands ends unfinished; long overtime; at last every rule that the house
    may set. Overtime makes a shift longer, which may ask for more breaks, so it is not tried
    alone. What of it was not needed is taken back by `unbent`.
    """
    yield situation
    situation = _patient(situation, part)
    yield _softened(situation, COMFORT)
    yield _softened(_longer(situation, part, 60), COMFORT)
    if situation.handed:
        stopped = stop_handed(situation)
        yield _softened(stopped, COMFORT)
        yield _softened(_longer(stopped, part, 60), COMFORT)
    yield _softened(_longer(situation, part, 240), COMFORT)
    yield _softened(situation, None)
    if situation.handed:
        yield _softened(stop_handed(situation), None)
    yield _softened(_longer(situation, part, 240), None)


def unbent(plain: DayBook, bent: DayBook, plan: Plan) -> DayBook:
    """The bent day book with the overtime that `plan` needs and no more, and hard what it keeps."""
    ends = {shift.id: shift.window.end for shift in plain.shifts}
    windows = {request.id: request.windows for request in plain.requests}
    requests = tuple(_within(request, windows.get(request.id), plan) for request in bent.requests)
    shifts = tuple(
        shift.model_copy(update={"window": _needed(shift, ends[shift.id], plan)})
        if shift.id in ends and ends[shift.id] < shift.window.end
        else shift
        for shift in bent.shifts
    )
    opened = []
    for old, new in zip(plain.open, bent.open, strict=True):
        inside = [v.window.end for v in plan.visits if v.window.overlaps(new)]
        end = max([old.end, *(end for end in inside if end <= new.end)])
        opened.append(TimeWindow(start=new.start, end=end))
    trimmed = bent.model_copy(
        update={"shifts": shifts, "open": tuple(opened), "requests": requests}
    )
    rules = default_settings() if plain.rules is None else plain.rules
    listed = trimmed.rules
    if listed is None or listed == rules:
        return trimmed.model_copy(update={"rules": plain.rules})
    bends = {finding.rule for finding in check(trimmed, plan)}
    kept = tuple(
        was if now.code not in bends else now for was, now in zip(rules, listed, strict=True)
    )
    return trimmed.model_copy(update={"rules": plain.rules if kept == rules else kept})


def _within(request: Request, windows: tuple[TimeWindow, ...] | None, plan: Plan) -> Request:
    """The request with the windows it had, longer only where it stays longer."""
    if windows is None or windows == request.windows:
        return request
    ends = [visit.window.end for visit in plan.visits if visit.visit == request.id]
    fitting = tuple(
        TimeWindow(start=old.start, end=max([old.end, *(end for end in ends if end <= new.end)]))
        if old != new
        else old
        for old, new in zip(windows, request.windows, strict=True)
    )
    return request.model_copy(update={"windows": fitting})


def _needed(shift: Shift, end: datetime, plan: Plan) -> TimeWindow:
    """The shift up to the last thing the person does in it."""
    windows = [rest.window for rest in plan.breaks if rest.staff == shift.staff]
    for visit in plan.visits:
        for phase in visit.phases:
            windows += [phase.window] if phase.performer == shift.staff else []
            windows += [help_.window for help_ in phase.help if help_.staff == shift.staff]
    ends = [window.end for window in windows if shift.window.contains(window)]
    return TimeWindow(start=shift.window.start, end=max([end, *ends]))


def _softened(situation: Situation, codes: frozenset[str] | None) -> Situation:
    """Those rules soft, at a weight that bends them last; all of them where none are named."""
    book = situation.book
    rules = tuple(
        each.model_copy(update={"hard": False, "weight": 1000})
        if each.hard and not rule(each.code).always_hard and (codes is None or each.code in codes)
        else each
        for each in (default_settings() if book.rules is None else book.rules)
    )
    return situation.copy(book.model_copy(update={"rules": rules}))


def _patient(situation: Situation, part: DayPart) -> Situation:
    """A client whose visit has begun stays past her window, to closing at most."""
    closing = max(window.end for window in part.openings)
    requests = []
    for request in situation.book.requests:
        placed = situation.placed.get(request.id)
        begun = placed is not None and situation.begun.get(request.id)
        windows = tuple(
            TimeWindow(start=window.start, end=max(window.end, closing))
            if begun and placed is not None and window.start <= placed.window.start < window.end
            else window
            for window in request.windows
        )
        requests.append(request.model_copy(update={"windows": windows}))
    return situation.copy(situation.book.model_copy(update={"requests": tuple(requests)}))


def _longer(situation: Situation, part: DayPart, minutes: int) -> Situation:
    """Whoever is on a running visit stays longer, and the salon with her."""
    book = situation.book
    more = timedelta(minutes=minutes)
    hands = _running_hands(situation)
    day = {shift.id for shift in part.shifts}
    shifts = tuple(
        shift.model_copy(
            update={"window": TimeWindow(start=shift.window.start, end=shift.window.end + more)}
        )
        if shift.id in day
        and shift.staff in hands
        and shift.window.start < situation.now <= shift.window.end
        else shift
        for shift in book.shifts
    )
    latest = max((shift.window.end for shift in shifts if shift.id in day), default=None)
    last = max(part.openings, key=lambda window: window.end)
    opened = tuple(
        TimeWindow(start=window.start, end=max(window.end, latest))
        if window == last and latest is not None
        else window
        for window in book.open
    )
    longer = situation.copy(book.model_copy(update={"shifts": shifts, "open": opened}))
    lasting = TimeWindow(start=last.start, end=max(last.end, latest or last.end))
    return _patient(longer, replace(part, openings=[*part.openings, lasting]))


def _running_hands(situation: Situation) -> set[str]:
    """Everybody on a visit that has begun and is not over."""
    return {
        person
        for name, planned in situation.placed.items()
        if situation.begun.get(name)
        and (planned.window.end > situation.now or situation.begun[name] < len(planned.phases))
        for person in (planned.lead, *planned.assistants)
    }
