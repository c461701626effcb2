"""Somebody falls sick: her shift ends, what she is at is handed over."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import TypeVar

from schemas.booking import Booking, BookingStatus, Promise
from schemas.plan import PlannedBreak, PlannedPhase
from schemas.repair import SickPerson
from schemas.resources import Role, Shift
from schemas.windows import TimeWindow
from schemas.work import Performer, PhaseWork
from solver.model.crew import can_lead
from solver.model.facts import hundredths
from solver.repair.clients import laid_after
from solver.repair.clock import grid_before, minutes_between, shifted
from solver.repair.cutting import cut_phase
from solver.repair.situation import AnyVisit, Situation, whole

MOST_ASSISTANTS = 6
T = TypeVar("T")


def falls_sick(situation: Situation, event: SickPerson) -> None:
    """Cut her shifts, her running phases and her help at the last step before she fell sick."""
    cut = grid_before(situation.book, event.start)
    until = event.until or _end_of_shift(situation, event.staff, cut)
    if until is None:
        return
    _shorten(situation, event.staff, cut, until)
    situation.breaks = list(_breaks_until(situation, event.staff, cut, until))
    for name, planned in list(situation.placed.items()):
        if planned.window.end <= cut or planned.window.start >= until:
            continue
        if event.staff in {planned.lead, *planned.assistants}:
            situation.near.add(name)
        if situation.begun[name]:
            _leave(situation, name, event.staff, cut)


def _breaks_until(
    situation: Situation, staff: str, cut: datetime, until: datetime
) -> Iterator[PlannedBreak]:
    """Her breaks up to the cut; one that she was in ends there."""
    for rest in situation.breaks:
        if rest.staff != staff or rest.window.end <= cut or rest.window.start >= until:
            yield rest
        elif rest.window.start < cut:
            window = TimeWindow(start=rest.window.start, end=cut)
            yield rest.model_copy(update={"window": window})


def _end_of_shift(situation: Situation, staff: str, cut: datetime) -> datetime | None:
    """The end of the shift she is in, or of her next one."""
    ends = [
        shift.window.end
        for shift in situation.book.shifts
        if shift.staff == staff and shift.window.end > cut
    ]
    return min(ends, default=None)


def _shorten(situation: Situation, staff: str, cut: datetime, until: datetime) -> None:
    shifts: list[Shift] = []
    for shift in situation.book.shifts:
        window = shift.window
        if shift.staff != staff or window.end <= cut or window.start >= until:
            shifts.append(shift)
            continue
        if window.start < cut:
            before = TimeWindow(start=window.start, end=cut)
            shifts.append(shift.model_copy(update={"window": before}))
        if until < window.end:
            after = TimeWindow(start=until, end=window.end)
            shifts.append(
                shift.model_copy(update={"id": f"{shift.id[:58]}-later", "window": after})
            )
    situation.book = situation.book.model_copy(update={"shifts": tuple(shifts)})


def _leave(situation: Situation, name: str, staff: str, cut: datetime) -> None:
    """She leaves a visit that has begun."""
    number = _running(situation, name, cut)
    if number is not None and situation.placed[name].phases[number].performer == staff:
        _cut_in_two(situation, name, number, cut)
    else:
        _stop_help(situation, name, staff, cut)
    if situation.begun[name] and situation.placed[name].lead == staff:
        _hand_over(situation, name, staff, cut)


def _running(situation: Situation, name: str, cut: datetime) -> int | None:
    """The phase that has begun and would go on after `cut`."""
    for number, phase in enumerate(situation.placed[name].phases[: situation.begun[name]]):
        if phase.window.end > cut:
            return number
    return None


def _cut_in_two(situation: Situation, name: str, number: int, cut: datetime) -> None:
    halves = cut_phase(situation, name, number, cut)
    if halves is None:
        # Nothing of the phase is done: it has not begun, and goes to somebody else as it is.
        situation.begun[name] = number
        return
    visit, planned, told = (situation.visit(name), situation.placed[name], situation.told[name])
    works = [halves.done, *([halves.rest] if halves.rest else [])]
    places = [halves.done_at, *([halves.rest_at] if halves.rest_at else [])]
    situation.put(visit.model_copy(update={"phases": _with(visit.phases, number, works)}))
    situation.placed[name] = whole(name, planned, _with(planned.phases, number, places))
    told_places = list(places)
    told_places[-1] = _told_end(told_places[-1], told.phases[number])
    situation.told[name] = whole(name, told, _with(told.phases, number, told_places))
    situation.begun[name] = number + 1
    situation.broken_off(name, halves.done_at.window.end, None)


def _told_end(half: PlannedPhase, told: PlannedPhase) -> PlannedPhase:
    """People were told that the phase ends when it was planned to."""
    if told.window.end <= half.window.start:
        return half
    return half.model_copy(
        update={"window": TimeWindow(start=half.window.start, end=told.window.end)}
    )


def _with(phases: tuple[T, ...], number: int, halves: list[T]) -> tuple[T, ...]:
    return (*phases[:number], *halves, *phases[number + 1 :])


def _stop_help(situation: Situation, name: str, staff: str, cut: datetime) -> None:
    """What she helped until then is credited; the rest falls away, and the phase takes longer."""
    planned, grid = situation.placed[name], situation.book.grid.minutes
    rate = next(hundredths(p.help_rate) for p in situation.book.staff if p.id == staff)
    laid: list[PlannedPhase] = []
    for phase in planned.phases:
        kept, lost = [], 0
        for help_ in phase.help:
            if help_.staff != staff or help_.window.end <= cut:
                kept.append(help_)
                continue
            lost += minutes_between(max(cut, help_.window.start), help_.window.end)
            if help_.window.start < cut:
                window = TimeWindow(start=help_.window.start, end=cut)
                kept.append(help_.model_copy(update={"window": window}))
        longer = -(-lost * rate // (100 * grid)) * grid
        less = phase.model_copy(
            update={"help": tuple(kept), "window": shifted(phase.window, longer)}
        )
        laid = list(laid_after(laid, (less,))) if laid else [less]
    situation.placed[name] = whole(name, planned, tuple(laid))


def _hand_over(situation: Situation, name: str, staff: str, cut: datetime) -> None:
    """Another lead owns the visit from here on; what the first did stays hers, as its assistant."""
    visit, begun = situation.visit(name), situation.begun[name]
    left = visit.phases[begun:]
    if not any(work.performer is Performer.LEAD for work in left):
        return
    done = tuple(
        work.model_copy(update={"performer": Performer.CREW})
        if work.performer is Performer.LEAD
        else work
        for work in visit.phases[:begun]
    )
    promise_lead: dict[str, object] = {"required_lead": None}
    if isinstance(visit, Booking) and visit.required_lead is not None:
        promise = visit.promise.model_copy(update={"lead": visit.required_lead})
        promise_lead["promise"] = promise
    changed: AnyVisit = visit.model_copy(
        update={
            **promise_lead,
            "phases": (*done, *left),
            "max_assistants": min(MOST_ASSISTANTS, visit.max_assistants + 1),
        }
    )
    if not _successor(situation, changed, staff, cut):
        _stop(situation, name, begun, cut)
        return
    situation.put(changed)
    situation.handed.add(name)
    staffed = tuple(
        person.model_copy(update={"roles": (*person.roles, Role.ASSISTANT)})
        if person.id == staff and Role.ASSISTANT not in person.roles
        else person
        for person in situation.book.staff
    )
    situation.book = situation.book.model_copy(update={"staff": staffed})


def _successor(situation: Situation, visit: AnyVisit, staff: str, cut: datetime) -> bool:
    """Whether anybody else in that day could lead what is left."""
    people = {person.id: person for person in situation.book.staff}
    day = situation.placed[visit.id].window.start.date()
    return any(
        shift.staff != staff
        and shift.window.end > max(cut, situation.now)
        and shift.window.start.date() == day
        and can_lead(visit, people[shift.staff])
        for shift in situation.book.shifts
    )


def stop_handed(situation: Situation) -> Situation:
    """Every install that changed hands ends unfinished: nobody is free to go on with it."""
    stopped = situation.copy()
    for name in sorted(situation.handed):
        _stop(stopped, name, stopped.begun[name], situation.now)
    stopped.handed.clear()
    return stopped


def _stop(situation: Situation, name: str, begun: int, cut: datetime) -> None:
    """Nobody can go on: what is left becomes a visit of its own that has no place today."""
    visit, planned, told = situation.visit(name), situation.placed[name], situation.told[name]
    rest = situation.free_name(name)
    situation.put(rest_of(visit, rest, visit.phases[begun:], max(cut, situation.now)))
    situation.put(visit.model_copy(update={"phases": visit.phases[:begun]}))
    situation.placed[name] = whole(name, planned, planned.phases[:begun])
    situation.placed[rest] = whole(rest, planned, planned.phases[begun:])
    situation.told[rest] = whole(rest, told, told.phases[begun:])
    situation.told[name] = whole(name, told, told.phases[:begun])
    situation.begun[rest] = 0
    situation.origin[rest] = name
    situation.near.add(rest)
    situation.broken_off(name, planned.phases[begun - 1].window.end, rest)


def rest_of(visit: AnyVisit, name: str, phases: tuple[PhaseWork, ...], start: datetime) -> Booking:
    """What is left of a visit, owed at once, to the lead and by the hour it was promised."""
    promised = visit.promise if isinstance(visit, Booking) else None
    latest = promised.latest_finish if promised is not None else None
    return Booking(
        id=name,
        client=visit.client,
        phases=phases,
        chair_features=visit.chair_features,
        max_assistants=visit.max_assistants,
        tags=visit.tags,
        refused_leads=visit.refused_leads,
        status=BookingStatus.CONFIRMED,
        promise=Promise(
            start=start,
            lead=promised.lead if promised is not None else None,
            latest_finish=latest if latest is not None and latest > start else None,
        ),
    )
