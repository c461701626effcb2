"""Events of clients: she comes late, not at all, unannounced, or her hair takes longer."""

from __future__ import annotations

from datetime import datetime, timedelta

from schemas.booking import Booking, Request
from schemas.plan import PlannedPhase
from schemas.repair import Overrun
from schemas.windows import TimeWindow
from solver.errors import DayBookError, Fault
from solver.repair.clock import grid_after, minutes_between, shifted
from solver.repair.cutting import own_minutes, work_at_least
from solver.repair.situation import Situation, whole


def comes_not(situation: Situation, name: str) -> None:
    """A no-show: her place is free, and breaks inside her visit stand on their own."""
    situation.breaks = [
        planned.model_copy(update={"inside": None}) if planned.inside == name else planned
        for planned in situation.breaks
    ]
    situation.take_out(name)


def comes_late(situation: Situation, name: str, arrives: datetime) -> None:
    """A late arrival: nothing of her visit has begun, and her promise moves with her."""
    planned = situation.placed[name]
    there = grid_after(situation.book, arrives)
    situation.near.add(name)
    if there <= planned.window.start and planned.window.start >= situation.now:
        return
    situation.begun[name] = 0
    situation.earliest[name] = there
    visit = situation.visit(name)
    if isinstance(visit, Booking):
        if there > visit.promise.start:
            latest = visit.promise.latest_finish
            if latest is not None and latest <= there:
                latest += there - visit.promise.start
            promise = visit.promise.model_copy(update={"start": there, "latest_finish": latest})
            situation.put(visit.model_copy(update={"promise": promise}))
        return
    late = minutes_between(planned.window.start, there)
    windows = tuple(
        shifted(window, late) if late > 0 and window.contains(planned.window) else window
        for window in visit.windows
    )
    situation.put(visit.model_copy(update={"windows": windows}))


def takes_longer(situation: Situation, event: Overrun, pointer: str) -> None:
    """An overrun: the phase has more work; what was to follow has not begun."""
    name = event.visit
    planned = situation.placed[name]
    number = _which(situation, event, pointer)
    book, grid = situation.book, situation.book.grid.minutes
    people = {person.id: person for person in book.staff}
    phase, visit = planned.phases[number], situation.visit(name)
    work, performer = visit.phases[number], people[phase.performer]
    own = own_minutes(work.minutes, performer, grid)
    wanted = own + -(-event.minutes // grid) * grid
    minutes = work_at_least(wanted, performer, grid)
    more = own_minutes(minutes, performer, grid) - own
    phases = list(visit.phases)
    phases[number] = work.model_copy(update={"minutes": minutes})
    situation.put(visit.model_copy(update={"phases": tuple(phases)}))
    situation.near.add(name)
    longer = phase.model_copy(update={"window": shifted(phase.window, more)})
    laid = laid_after([*planned.phases[:number], longer], planned.phases[number + 1 :])
    situation.placed[name] = whole(name, planned, laid)
    if phase.window.start < situation.now:
        situation.begun[name] = min(situation.begun[name], number + 1)
        _others_wait(situation, name, longer, phase.window.end)


def _which(situation: Situation, event: Overrun, pointer: str) -> int:
    """The phase that takes longer: the one named, the one that runs, or else the next."""
    phases, now = situation.placed[event.visit].phases, situation.now
    if event.phase is not None:
        if event.phase >= len(phases):
            raise DayBookError(Fault(f"{pointer}/phase", f"there are {len(phases)} phases"))
        end = phases[event.phase].window.end + timedelta(minutes=event.minutes)
        if end < now:
            raise DayBookError(
                Fault(f"{pointer}/minutes", "the phase would be over by now even so")
            )
        return event.phase
    for number, phase in enumerate(phases):
        if phase.window.end >= now:
            return number
    raise DayBookError(Fault(f"{pointer}/visit", f"{event.visit} is over; name its phase"))


def laid_after(
    laid: list[PlannedPhase], later: tuple[PlannedPhase, ...]
) -> tuple[PlannedPhase, ...]:
    """Phases with later ones behind, moved on where they would begin too early."""
    for phase in later:
        wait = laid[-1].window.end - phase.window.start
        if wait > timedelta():
            window = TimeWindow(start=phase.window.start + wait, end=phase.window.end + wait)
            phase = phase.model_copy(update={"window": window, "help": ()})  # noqa: PLW2901
        laid.append(phase)
    return tuple(laid)


def _others_wait(situation: Situation, name: str, phase: PlannedPhase, ended: datetime) -> None:
    """Whoever is held up has not begun what she was to do next."""
    for other, planned in situation.placed.items():
        for number, each in enumerate(planned.phases):
            hands = {each.performer, *(help_.staff for help_ in each.help)}
            if (
                other != name
                and phase.performer in hands
                and ended <= each.window.start < phase.window.end
                and number < situation.begun[other]
            ):
                situation.begun[other] = number


def walks_in(situation: Situation, request: Request) -> None:
    """A walk-in: a request more, to be placed from now on."""
    situation.put(request)
    situation.wanted.add(request.id)
    situation.near.add(request.id)
