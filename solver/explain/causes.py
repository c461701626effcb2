"""Every rule and promise that may keep a request out, each with the day book without it.

A cause is left out by changing the facts it speaks of, so that the rule itself has nothing to say:
chairs are doubled, shifts last all day, a promise is gone. That way the model is asked nothing it
would not be asked by a real day book.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from schemas.daybook import DayBook, Grid
from schemas.resources import Chair, Role, Shift, Skill
from schemas.rules import RuleSetting
from schemas.windows import TimeWindow
from schemas.work import PhaseWork
from solver.explain.case import Case
from solver.explain.doubles import double_basins, double_chairs, double_staff
from solver.explain.telling import Telling
from solver.rules import default_settings, rule

Without = Callable[[DayBook], DayBook]


@dataclass(frozen=True)
class Cause:
    """A rule's instance: what it says here, and the day book in which it says nothing."""

    rule: str
    detail: str
    without: Without
    visits: tuple[str, ...] = ()
    staff: tuple[str, ...] = ()


def causes(case: Case) -> Iterator[Cause]:
    """The causes in the order in which they are tried: those that explain least come first."""
    tell = Telling(case)
    for booking in case.bookings:
        detail = tell.promise(booking)
        yield Cause("promise-kept", detail, _no_booking(booking.id), visits=(booking.id,))
    yield Cause("basin-one-client", tell.basins(), double_basins)
    yield from _house_rules(case, tell)
    yield Cause("chair-one-client", tell.chairs(), double_chairs)
    yield Cause("fitting-chair", tell.fitting(), _any_chair)
    yield from _crew(case, tell)
    yield Cause("hands-one-client", tell.hands(), double_staff, staff=tell.leads)
    all_day = _longer_shifts if case.as_booked else _all_day_shifts
    yield Cause("within-shift", tell.shifts(), all_day, staff=tell.leads)
    yield Cause("opening-hours", tell.opening(), _all_day_open)
    yield Cause("client-window", tell.windows(), _any_time, visits=(case.request.id,))
    yield Cause("work-done", tell.work(), _no_work, visits=(case.request.id,))


def _house_rules(case: Case, tell: Telling) -> Iterator[Cause]:
    """The hard rules of the house; one that is set several times is there as often."""
    for setting in _listed(case.book):
        if setting.on and setting.hard and not rule(setting.code).always_hard:
            yield Cause(setting.code, tell.house_rule(setting), _softened(setting))


def _listed(book: DayBook) -> tuple[RuleSetting, ...]:
    return default_settings() if book.rules is None else book.rules


def _crew(case: Case, tell: Telling) -> Iterator[Cause]:
    request = case.request
    if request.refused_leads:
        detail = tell.refused()
        yield Cause("skilled-hands", detail, _request(refused_leads=()), staff=tell.refused_leads)
    if any(phase.shared for phase in request.phases):
        yield Cause("skilled-hands", tell.assistants(), _request(max_assistants=6))
    if request.required_lead is not None:
        detail, who = tell.required(), (request.required_lead,)
        yield Cause("skilled-hands", detail, _request(required_lead=None), staff=who)
    yield Cause("skilled-hands", tell.skills(), _everybody_able, staff=tell.leads)


def _request(**changes: object) -> Without:
    def without(book: DayBook) -> DayBook:
        changed = book.requests[0].model_copy(update=changes)
        return book.model_copy(update={"requests": (changed,)})

    return without


def _no_booking(booking_id: str) -> Without:
    def without(book: DayBook) -> DayBook:
        kept = tuple(booking for booking in book.bookings if booking.id != booking_id)
        return book.model_copy(update={"bookings": kept})

    return without


def _softened(setting: RuleSetting) -> Without:
    def without(book: DayBook) -> DayBook:
        # Soft, not off: a break that a booked phase was stretched by must still be there.
        soft = setting.model_copy(update={"hard": False})
        listed = list(_listed(book))
        listed[listed.index(setting)] = soft
        return book.model_copy(update={"rules": tuple(listed)})

    return without


def _any_chair(book: DayBook) -> DayBook:
    chairs = tuple(chair.model_copy(update={"retired": False}) for chair in book.chairs)
    chairs = chairs or (Chair(id="any-chair", name="Any chair"),)
    changed = _request(chair_features=())(book)
    return changed.model_copy(update={"chairs": chairs, "closures": ()})


def _everybody_able(book: DayBook) -> DayBook:
    """Everybody leads and assists, and masters all that the request asks."""
    phases = book.requests[0].phases
    asked = {phase.skill for phase in phases}
    asked |= {phase.help_skill for phase in phases if phase.help_skill is not None}
    staff = tuple(
        person.model_copy(
            update={
                "retired": False,
                "roles": (Role.LEAD, Role.ASSISTANT),
                "skills": (
                    *(skill for skill in person.skills if skill.tag not in asked),
                    *(Skill(tag=tag, level=5) for tag in sorted(asked)),
                ),
            }
        )
        for person in book.staff
    )
    return book.model_copy(update={"staff": staff})


def _all_day_shifts(book: DayBook) -> DayBook:
    """Everybody is in all day long, those too who have the day off."""
    whole = Case(book).whole_day
    known = {shift.staff: shift.id for shift in book.shifts}
    shifts = tuple(
        Shift(id=known.get(person.id, f"all-day-{number}"), staff=person.id, window=whole)
        for number, person in enumerate(book.staff)
    )
    return book.model_copy(update={"shifts": shifts})


def _longer_shifts(book: DayBook) -> DayBook:
    """The same, with the start of each shift kept: breaks booked already are due by it."""
    whole, shifts = Case(book).whole_day, list[Shift]()
    for number, person in enumerate(book.staff):
        hers = sorted(
            (shift for shift in book.shifts if shift.staff == person.id),
            key=lambda shift: shift.window.start,
        )
        if not hers:
            shifts.append(Shift(id=f"all-day-{number}", staff=person.id, window=whole))
            continue
        first, last = hers[0].window.start, hers[-1].window
        if whole.start < first:
            early = TimeWindow(start=whole.start, end=first)
            shifts.append(Shift(id=f"early-{number}", staff=person.id, window=early))
        late = TimeWindow(start=last.start, end=max(last.end, whole.end))
        shifts += [*hers[:-1], hers[-1].model_copy(update={"window": late})]
    return book.model_copy(update={"shifts": tuple(shifts)})


def _all_day_open(book: DayBook) -> DayBook:
    return book.model_copy(update={"open": (Case(book).whole_day,)})


def _any_time(book: DayBook) -> DayBook:
    changed = _request(windows=(Case(book).whole_day,))(book)
    grid = Grid(minutes=book.grid.minutes, arrivals=book.grid.minutes)
    return changed.model_copy(update={"grid": grid})


def _no_work(book: DayBook) -> DayBook:
    """Each phase takes a minute."""
    phases: tuple[PhaseWork, ...] = tuple(
        phase.model_copy(update={"minutes": 1}) for phase in book.requests[0].phases
    )
    return _request(phases=phases)(book)
