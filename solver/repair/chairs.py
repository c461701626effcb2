"""A chair breaks: it is closed, and a client who sits in it moves to another."""

from __future__ import annotations

from datetime import datetime

from schemas.plan import PlannedPhase
from schemas.repair import BrokenChair
from schemas.resources import ChairClosure
from schemas.windows import TimeWindow
from schemas.work import PhaseWork
from solver.repair.clock import grid_after, grid_before
from solver.repair.cutting import cut_phase
from solver.repair.sickness import rest_of
from solver.repair.situation import Situation, whole


def chair_breaks(situation: Situation, event: BrokenChair) -> None:
    """Close the chair; a visit that has begun on it is cut in two at that moment.

    The rest is a visit of its own, on another chair, owed at once and to the same lead.
    """
    until = event.until or _end_of_day(situation, event.start)
    if until is None or until <= event.start:
        return
    closure = ChairClosure(
        chair=event.chair, window=TimeWindow(start=event.start, end=until), reason="broken"
    )
    situation.book = situation.book.model_copy(
        update={"closures": (*situation.book.closures, closure)}
    )
    cut = grid_before(situation.book, event.start)
    for name, planned in list(situation.placed.items()):
        if planned.chair != event.chair or not planned.window.overlaps(closure.window):
            continue
        situation.near.add(name)
        if situation.begun[name]:
            _move(situation, name, cut)


def _end_of_day(situation: Situation, start: datetime) -> datetime | None:
    ends = [window.end for window in situation.book.open if window.end > start]
    return min(ends, default=None)


def _move(situation: Situation, name: str, cut: datetime) -> None:
    visit, planned, told = situation.visit(name), situation.placed[name], situation.told[name]
    over = sum(phase.window.end <= cut for phase in planned.phases)
    works: list[PhaseWork] = list(visit.phases[over:])
    places: list[PlannedPhase] = list(planned.phases[over:])
    done_works, done_places = list(visit.phases[:over]), list(planned.phases[:over])
    if places[0].window.start < cut and over < situation.begun[name]:
        halves = cut_phase(situation, name, over, cut)
        if halves is not None:
            done_works.append(halves.done)
            done_places.append(halves.done_at)
            works[:1] = [halves.rest] if halves.rest is not None else []
            places[:1] = [halves.rest_at] if halves.rest_at is not None else []
    if not done_works:
        situation.begun[name] = 0  # nothing is done: she begins anew elsewhere
        return
    if not works:
        return
    rest = situation.free_name(name)
    start = max(cut, grid_after(situation.book, situation.now))
    left = rest_of(visit, rest, tuple(works), start)
    promise = left.promise.model_copy(update={"lead": planned.lead})
    situation.put(left.model_copy(update={"promise": promise}))
    situation.put(visit.model_copy(update={"phases": tuple(done_works)}))
    situation.placed[name] = whole(name, planned, tuple(done_places))
    situation.placed[rest] = whole(rest, planned, tuple(places))
    situation.told[rest] = whole(rest, told, tuple(places))
    situation.told[name] = whole(name, told, tuple(done_places))
    situation.begun[name], situation.begun[rest] = len(done_works), 0
    situation.origin[rest] = name
    situation.near.add(rest)
    situation.broken_off(name, done_places[-1].window.end, rest)
