"""State one day's repair for the model: the day in steps, what is held, told and owed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from zoneinfo import ZoneInfo

from schemas.booking import Booking, BookingStatus
from schemas.plan import PlannedBreak, PlannedVisit
from schemas.units import MAX_MINUTES
from solver.days import DayPart
from solver.model.build import build_day
from solver.model.facts import Day
from solver.model.held import Held, HeldVisit, held_break, held_visit
from solver.model.told import Owed, RepairTask, ToldVisit
from solver.repair.situation import AnyVisit, Situation
from solver.rules import settings_in_force
from solver.writing import Known

LEFT_OUT_CONFIRMED, LEFT_OUT_OTHER, LEFT_OUT_REST = 10, 6, 50
"""What leaving a visit out weighs against a promise bent: house figures, no source."""


@dataclass(frozen=True)
class DayTask:
    """A day and its repair, in steps, and the places that people know."""

    day: Day
    task: RepairTask
    known: Known


def names_of(situation: Situation, part: DayPart) -> list[str]:
    """The visits whose place is on this day, and who is at the door."""
    here = [
        name
        for name, planned in situation.placed.items()
        if part.touches(planned.window) or part is _nearest(situation, planned, part)
    ]
    return here + [name for name in sorted(situation.wanted) if name not in situation.placed]


def _nearest(situation: Situation, planned: PlannedVisit, part: DayPart) -> DayPart | None:
    """The day of a visit that an overrun pushed past closing: the one it was told for."""
    told = situation.told.get(planned.visit)
    return part if told is not None and part.touches(told.window) else None


def day_task(situation: Situation, part: DayPart, names: list[str]) -> DayTask:
    """The repair of one day."""
    book = situation.book
    settings = tuple(setting for setting in settings_in_force(book))
    visits = [_loose(situation.visit(name), situation) for name in names]
    shifts = {shift.id: shift for shift in book.shifts}
    openings = [window for window in book.open if part.touches(window)]
    bare = build_day(
        book,
        openings,
        [shifts[shift.id] for shift in part.shifts if shift.id in shifts],
        visits,
        settings,
        before=_days_of_others(situation, names),
    )
    day = replace(
        bare,
        visits=tuple(
            replace(facts, must=situation.begun.get(facts.id, 0) > 0) for facts in bare.visits
        ),
    )
    return DayTask(day, _task(situation, day, names), _known(situation, names))


def _days_of_others(situation: Situation, names: list[str]) -> dict[str, date]:
    zone = ZoneInfo(situation.book.zone)
    return {
        name: planned.window.start.astimezone(zone).date()
        for name, planned in situation.placed.items()
        if name not in names
    }


def _loose(visit: AnyVisit, situation: Situation) -> AnyVisit:
    """The visit without what may be renegotiated: the model counts that as broken promises."""
    if not isinstance(visit, Booking):
        return visit
    promise = visit.promise.model_copy(
        update={"tolerance": MAX_MINUTES, "lead": None, "latest_finish": None}
    )
    placed = situation.placed.get(visit.id)
    return visit.model_copy(update={"promise": promise, "placed": placed})


def _task(situation: Situation, day: Day, names: list[str]) -> RepairTask:
    now = day.up(day.frame.minute(situation.now))
    begun = {name: situation.begun.get(name, 0) for name in names}
    held = Held(
        now=now,
        visits={name: _held(situation, day, name, count) for name, count in begun.items() if count},
        earliest={
            name: day.up(day.frame.minute(at))
            for name, at in situation.earliest.items()
            if name in begun
        },
        breaks=tuple(held_break(day, rest) for rest in begun_breaks(situation)),
        later=tuple(
            held_break(day, rest) for rest in situation.breaks if rest.window.start >= situation.now
        ),
    )
    return RepairTask(
        held=held,
        told={
            name: _told(situation, day, situation.told[name])
            for name in names
            if name in situation.told
        },
        owed={name: owed for name in names if (owed := _owed(situation, day, name)) is not None},
        weights={name: _weight(situation, name) for name in names},
        wanted=frozenset(situation.wanted.intersection(names)),
        near=frozenset(situation.near),
    )


def _held(situation: Situation, day: Day, name: str, count: int) -> HeldVisit:
    held = held_visit(day, situation.placed[name], count, situation.now)
    return replace(held, lead=None) if name in situation.handed else held


def begun_breaks(situation: Situation) -> list[PlannedBreak]:
    """Breaks that have begun; one whose phase has not begun around it stood alone after all."""
    found = []
    for rest in situation.breaks:
        if rest.window.start >= situation.now:
            continue
        inside = rest.inside
        if inside is not None:
            placed = situation.placed.get(inside)
            phases = placed.phases[: situation.begun[inside]] if placed is not None else ()
            if not any(
                phase.performer == rest.staff and phase.window.contains(rest.window)
                for phase in phases
            ):
                inside = None
        found.append(rest.model_copy(update={"inside": inside}))
    return found


def _told(situation: Situation, day: Day, told: PlannedVisit) -> ToldVisit:
    begun, placed = situation.begun.get(told.visit, 0), situation.placed.get(told.visit)
    phases = placed.phases[:begun] if placed is not None else ()
    over = [number for number, phase in enumerate(phases) if phase.window.end <= situation.now]
    return ToldVisit.of(day, told, over)


def _owed(situation: Situation, day: Day, name: str) -> Owed | None:
    visit = situation.visit(name)
    if not isinstance(visit, Booking):
        return None
    promise = visit.promise
    latest = promise.latest_finish
    return Owed(
        start=day.frame.minute(promise.start),
        tolerance=promise.tolerance,
        lead=promise.lead,
        latest_finish=None if latest is None else day.frame.minute(latest),
    )


def _weight(situation: Situation, name: str) -> int:
    visit = situation.visit(name)
    if name in situation.origin:
        return LEFT_OUT_REST
    confirmed = isinstance(visit, Booking) and visit.status is BookingStatus.CONFIRMED
    return LEFT_OUT_CONFIRMED if confirmed else LEFT_OUT_OTHER


def _known(situation: Situation, names: list[str]) -> Known:
    places = {name: situation.placed[name] for name in names if name in situation.placed}
    fixed = {name for name in places if situation.begun.get(name)}
    washes = {f"{name}/{number}" for name in fixed for number in range(situation.begun[name])}
    return Known(places, frozenset(fixed | washes))
