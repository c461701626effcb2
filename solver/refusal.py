"""Say in sentences why a day cannot be planned."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from schemas.booking import Booking
from schemas.rules import Finding
from solver.model.conflict import Conflict
from solver.model.facts import Day, DayVisit
from solver.model.variables import Obstacle
from solver.rules import rule

LONGEST_DETAIL = 400
MOST_NAMED = 4
"""Bookings named in one sentence; more are counted."""


def refusals(
    day: Day, obstacles: Iterable[Obstacle], found: Iterable[Conflict]
) -> Iterator[Finding]:
    """One finding for each obstacle and each conflict; one that says so where neither was found."""
    empty = True
    for obstacle in obstacles:
        empty = False
        yield _obstacle(day, obstacle)
    for conflict in found:
        empty = False
        yield _conflict(day, conflict)
    if empty:
        yield _finding(
            "promise-kept",
            f"On {day.date} the promises and the hard rules cannot all hold; the time did not do "
            "to find which of them collide.",
            "Give the plan more time, or move a booking.",
            tuple(visit.id for visit in day.visits if visit.must),
            (),
        )


def _obstacle(day: Day, obstacle: Obstacle) -> Finding:
    if obstacle.visit is not None:
        return _finding(
            obstacle.rule,
            f"{_named(day, obstacle.visit)} cannot be kept: {obstacle.reason}.",
            "Agree on another time with the client, or change what stands in the way.",
            (obstacle.visit.id,),
            (),
        )
    assert obstacle.shift is not None
    shift = obstacle.shift
    return _finding(
        obstacle.rule,
        f"On {day.date} {obstacle.reason} ({day.clock(shift.start)} to {day.clock(shift.end)}).",
        "Lengthen the shift, or change the figures of the rule.",
        (),
        (shift.person.id,),
    )


def _conflict(day: Day, conflict: Conflict) -> Finding:
    everyone = [conflict.dropped, *conflict.others]
    named = [_named(day, visit) for visit in everyone[:MOST_NAMED]]
    if len(everyone) > MOST_NAMED:
        named.append(f"{len(everyone) - MOST_NAMED} more")
    if len(everyone) == 1:
        detail = f"{named[0]} cannot be kept under the hard rules, even with no other booking."
    else:
        detail = (
            f"{', '.join(named[:-1])} and {named[-1]} cannot all be kept on {day.date}; "
            f"{conflict.kept} of the {conflict.promised} promises of the day can."
        )
    remedy = f"Agree on another time with {conflict.dropped.visit.client}"
    remedy += ", or loosen one of the others." if conflict.others else ", or change what is asked."
    return _finding("promise-kept", detail, remedy, tuple(visit.id for visit in everyone), ())


def _named(day: Day, facts: DayVisit) -> str:
    """`Ana (from 10:00, with Lea)`: the client and what she was promised."""
    visit = facts.visit
    if not isinstance(visit, Booking):
        return visit.client
    promise = visit.promise
    words = f"from {day.frame.instant(day.frame.minute(promise.start)):%H:%M}"
    if promise.tolerance:
        words += f" give or take {promise.tolerance} min"
    lead = promise.lead or visit.required_lead
    if lead is not None:
        people = {shift.person.id: shift.person.name for shift in day.shifts}
        words += f", with {people.get(lead, lead)}"
    if promise.latest_finish is not None:
        words += f", done by {day.frame.instant(day.frame.minute(promise.latest_finish)):%H:%M}"
    return f"{visit.client[:48]} ({words})"


def _finding(
    code: str, detail: str, remedy: str, visits: tuple[str, ...], staff: tuple[str, ...]
) -> Finding:
    return Finding(
        rule=code,
        hard=True,
        sentence=rule(code).sentence,
        detail=detail[:LONGEST_DETAIL],
        remedy=remedy[:LONGEST_DETAIL],
        visits=visits,
        staff=staff,
    )
