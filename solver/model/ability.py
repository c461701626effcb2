"""Who could do what on one visit and when it could start, worked out once for the greedy start."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from schemas.booking import Booking, Request
from schemas.work import Performer, PhaseWork
from solver.model.asked_breaks import dues_of
from solver.model.constraints.supervised_apprentice import bars
from solver.model.crew import can_help, can_lead, can_perform
from solver.model.facts import Day, DayShift, DayVisit, hundredths, number
from solver.model.scope import concerns_visit


@dataclass(frozen=True)
class Ability:
    """Who could do what on one visit, worked out once."""

    visit: DayVisit
    starts: tuple[int, ...]
    """Steps at which it may start."""
    latest: dict[int, int]
    """For each start, the step by which it must have ended."""
    leads: tuple[str, ...]
    performers: tuple[tuple[int, ...], ...]
    """Shifts able to perform, by phase."""
    helpers: tuple[tuple[int, ...], ...]
    groups: tuple[int, ...]
    longest_wait: int
    own: int | None
    """The longest of the phases that are the lead's alone; None where there is none."""
    own_steps: int
    """Steps that phase takes at the very least, with all the help there could be."""
    before: tuple[int, int]
    """Steps from the visit's start to that phase's, at least and at most."""


def ability(day: Day, visit: DayVisit) -> Ability:
    """Who and when, for one visit, with every rule that looks at the visit alone."""
    asked_for = visit.visit
    people = {shift.person.id: shift.person for shift in day.shifts}
    promised = asked_for.promise.lead if isinstance(asked_for, Booking) else None
    preferred = day.setting("preferred-lead")
    wanted = asked_for.preferred_lead
    bound = wanted if preferred and preferred.hard and concerns_visit(preferred, visit) else None
    wait = day.setting("longest-wait")
    low, high = day.horizon
    limited = wait is not None and concerns_visit(wait, visit)
    latest = _latest_ends(day, asked_for)
    longest = day.down(number(wait, "minutes", 15)) if wait and limited else high - low
    own = _own_phase(visit)
    return Ability(
        visit=visit,
        starts=tuple(latest),
        latest=latest,
        leads=tuple(
            name
            for name, person in people.items()
            if can_lead(asked_for, person) and promised in {None, name} and bound in {None, name}
        ),
        performers=tuple(
            tuple(
                s.index
                for s in day.shifts
                if can_perform(asked_for, work, s.person) and not bars(day, work, s.person)
            )
            for work in visit.phases
        ),
        helpers=tuple(
            tuple(s.index for s in day.shifts if can_help(work, s.person))
            if asked_for.max_assistants
            else ()
            for work in visit.phases
        ),
        groups=tuple(
            group.index
            for group in day.groups
            if group.features.issuperset(asked_for.chair_features)
        ),
        longest_wait=longest,
        own=own,
        own_steps=0 if own is None else _fewest_steps(day, visit, own),
        before=_before(day, visit, own or 0, longest),
    )


def together(able: Ability, helpers: Iterable[DayShift], lead: str) -> int:
    """Help rates, in hundredths, of the best who may braid at once beside this lead."""
    if able.own is None:
        return 0
    work = able.visit.phases[able.own]
    others = [each for each in helpers if each.person.id != lead]
    return _best_rates(work, others, able.visit.visit.max_assistants)


def _best_rates(work: PhaseWork, shifts: Iterable[DayShift], most: int) -> int:
    """The best `most` help rates, in hundredths; a person counts once for all her shifts."""
    rates = {
        s.person.id: hundredths(s.person.help_rate) for s in shifts if can_help(work, s.person)
    }
    return sum(sorted(rates.values(), reverse=True)[:most])


def in_her_place(
    day: Day, able: Ability, work: PhaseWork, helpers: Iterable[DayShift]
) -> int | None:
    """The least steps in which one of the helpers does a phase; None where none may."""
    if not able.visit.visit.max_assistants:
        return None
    return min(
        (
            day.work(work, each.person)
            for each in helpers
            if can_perform(able.visit.visit, work, each.person)
        ),
        default=None,
    )


def _own_phase(visit: DayVisit) -> int | None:
    own = [n for n, work in enumerate(visit.phases) if work.performer is Performer.LEAD]
    return max(own, key=lambda number: visit.phases[number].minutes, default=None)


def _fewest_steps(day: Day, visit: DayVisit, phase: int) -> int:
    """`100 size + rates * size >= 100 work` for the fastest performer and the best helpers."""
    work = visit.phases[phase]
    paces = [day.work(work, s.person) for s in day.shifts if can_lead(visit.visit, s.person)]
    rates = _best_rates(work, day.shifts, visit.visit.max_assistants)
    return -(-100 * min(paces, default=1) // (100 + rates))


def _before(day: Day, visit: DayVisit, phase: int, longest_wait: int) -> tuple[int, int]:
    """Least and most steps between the start of the visit and the start of a phase."""
    least = most = 0
    # Whoever performs takes at most all breaks of one shift inside.
    dues = list(dues_of(day))
    breaks = max((sum(d.size for d in dues if d.shift == s.index) for s in day.shifts), default=0)
    for work in visit.phases[:phase]:
        steps = [day.work(work, s.person) for s in day.shifts if not s.person.retired] or [1]
        stretch = breaks if work.breakable else 0
        least += 1 if work.shared else min(steps)
        most += max(steps) + stretch + longest_wait
    return least, most


def _latest_ends(day: Day, visit: Booking | Request) -> dict[int, int]:
    """The possible starts, each with the step by which the visit must have ended."""
    found: dict[int, int] = {}
    spans = day.openings
    if isinstance(visit, Request):
        windows = [day.steps(window) for window in visit.windows]
        spans = tuple(
            (max(start, first), min(end, last))
            for start, end in day.openings
            for first, last in windows
        )
        first, last = _preferred_starts(day, visit)
        starts = [step for step in range(first, last + 1) if day.is_arrival(step)]
        finish = day.horizon[1]
    else:
        promise = visit.promise
        minute = day.frame.minute(promise.start)
        low, high = day.horizon
        begin = max(low, day.up(minute - promise.tolerance))
        stop = min(high, day.down(minute + promise.tolerance) + 1)
        starts = [
            step for step in range(begin, stop) if day.is_arrival(step) or step * day.grid == minute
        ]
        finish = day.horizon[1]
        if promise.latest_finish is not None:
            finish = day.down(day.frame.minute(promise.latest_finish))
    for step in starts:
        ends = [end for start, end in spans if start <= step < end]
        if ends:
            found[step] = min(max(ends), finish)
    return found


def _preferred_starts(day: Day, request: Request) -> tuple[int, int]:
    """The starts a hard `preferred-time` leaves, else all of them."""
    low, high = day.horizon
    rule = day.setting("preferred-time")
    tags = rule.scope.visit_tags if rule else ()
    concerned = rule is not None and (not tags or set(tags) & set(request.tags))
    if rule is None or not rule.hard or not concerned or request.preferred is None:
        return low, high
    start, end = day.frame.span(request.preferred)
    return max(low, day.up(start)), min(high, day.down(end))
