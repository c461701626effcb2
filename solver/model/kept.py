"""Lay a booking as the day book has it already, where that still holds."""

from __future__ import annotations

from itertools import pairwise

from schemas.booking import Booking
from schemas.plan import PlannedPhase, PlannedVisit
from schemas.windows import TimeWindow
from schemas.work import PhaseWork, Place
from solver.model.ability import Ability
from solver.model.board import Board, Laid
from solver.model.dues import Key
from solver.model.facts import Day, hundredths
from solver.model.placement import HelpPlacement, PhasePlacement, VisitPlacement


def lay_as_placed(board: Board, able: Ability) -> Laid | None:
    """The booking at its old place, or None where it has none or the place no longer holds."""
    visit = able.visit.visit
    planned = visit.placed if isinstance(visit, Booking) else None
    if planned is None or [p.kind for p in planned.phases] != [p.kind for p in visit.phases]:
        return None
    found = [_phase(board.day, phase) for phase in planned.phases]
    phases = tuple(phase for phase in found if phase is not None)
    if len(phases) < len(found) or not _suits(able, planned, phases):
        return None
    inside = _breaks_inside(board, able, phases)
    masks = _hands(board, able, phases)
    if masks is None or not all(board.can_rest(shift, masks, inside) for shift in masks):
        return None
    lasts = (
        _lasts(board, work, phase, inside) for work, phase in zip(visit.phases, phases, strict=True)
    )
    fitting = [g for g in able.groups if board.has_seat(g, phases[0].start, phases[-1].end)]
    if not all(lasts) or (able.visit.needs_chair and not fitting):
        return None
    hers = [g for g in fitting if planned.chair in board.day.groups[g].chairs]
    group = (hers or fitting)[0] if able.visit.needs_chair else None
    turnaround = 0 if group is None else board.turnaround[group]
    placement = VisitPlacement(able.visit.index, planned.lead, group, turnaround, phases)
    return Laid(placement, masks, inside) if board.allowed(placement) else None


def _hands(
    board: Board, able: Ability, phases: tuple[PhasePlacement, ...]
) -> dict[int, int] | None:
    """The hands it takes, by shift; None where one is not free or able, or the basins are full."""
    masks: dict[int, int] = {}
    works = able.visit.phases
    for number, (work, phase) in enumerate(zip(works, phases, strict=True)):
        able_hands = phase.shift in able.performers[number] and all(
            help_.shift in able.helpers[number] for help_ in phase.help
        )
        wet = work.place is Place.BASIN
        if not able_hands or (wet and not board.has_basin(phase.start, phase.end, [])):
            return None
        own = HelpPlacement(phase.shift, phase.start, phase.end)
        for span in (own, *phase.help):
            if not board.is_free(span.shift, span.start, span.end, masks):
                return None
            masks[span.shift] = masks.get(span.shift, 0) | board.mask(span.start, span.end)
    return masks


def _breaks_inside(
    board: Board, able: Ability, phases: tuple[PhasePlacement, ...]
) -> dict[Key, int]:
    """The breaks the day book has inside its phases: where they start."""
    inside: dict[Key, int] = {}
    for work, phase in zip(able.visit.phases, phases, strict=True):
        for given in board.day.shifts[phase.shift].given if work.breakable else ():
            if given.inside != able.visit.id:
                continue
            for due in board.dues[phase.shift]:
                if (
                    due.key not in inside
                    and due.inside
                    and due.kind is given.kind
                    and due.first <= given.start <= due.last
                    and phase.start <= given.start
                    and given.start + due.size <= phase.end
                ):
                    inside[due.key] = given.start
                    break
    return inside


def _phase(day: Day, planned: PlannedPhase) -> PhasePlacement | None:
    """The phase in steps; None where it is off the grid or outside every shift of its hands."""
    spans = [
        _on_shift(day, staff, window)
        for staff, window in (
            (planned.performer, planned.window),
            *((help_.staff, help_.window) for help_ in planned.help),
        )
    ]
    found = [span for span in spans if span is not None]
    if len(found) < len(spans):
        return None
    own, *help_ = found
    return PhasePlacement(own.start, own.end, own.shift, tuple(help_))


def _on_shift(day: Day, staff: str, window: TimeWindow) -> HelpPlacement | None:
    first, last = day.frame.span(window)
    if first % day.grid or last % day.grid:
        return None
    start, end = first // day.grid, last // day.grid
    for shift in day.shifts:
        if shift.person.id == staff and shift.start <= start and end <= shift.limit:
            return HelpPlacement(shift.index, start, end)
    return None


def _suits(able: Ability, planned: PlannedVisit, phases: tuple[PhasePlacement, ...]) -> bool:
    """Start, finish, lead, crew, order and waits as the rules ask."""
    start = phases[0].start
    waits = (later.start - earlier.end for earlier, later in pairwise(phases))
    return (
        start in able.latest
        and phases[-1].end <= able.latest[start]
        and planned.lead in able.leads
        and len(planned.assistants) <= able.visit.visit.max_assistants
        and all(0 <= wait <= able.longest_wait for wait in waits)
    )


def _lasts(board: Board, work: PhaseWork, phase: PhasePlacement, breaks: dict[Key, int]) -> bool:
    """Whether the phase lasts as long as its work, its help and its breaks say."""
    day = board.day
    need = day.work(work, day.shifts[phase.shift].person)
    need += sum(
        due.size
        for due in board.dues[phase.shift]
        if phase.start <= breaks.get(due.key, -1) < phase.end
    )
    size = phase.end - phase.start
    inside = all(phase.start <= help_.start and help_.end <= phase.end for help_ in phase.help)
    done = 100 * size + sum(
        hundredths(day.shifts[help_.shift].person.help_rate) * (help_.end - help_.start)
        for help_ in phase.help
    )
    return inside and size >= 1 and 100 * need <= done <= 100 * need + 99
