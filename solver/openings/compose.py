"""Writes out one opening: phases, help, basins, and the breaks of the crew around them.

A break that does not meet the new work stays where it was; otherwise it moves to the place nearest
the middle of what the rule allows. Help starts as early as the assistant's break permits.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from schemas.booking import Request
from schemas.plan import BreakKind, Help, PlannedBreak, PlannedPhase, PlannedVisit
from schemas.work import Place
from solver.bits import slots, span
from solver.openings.breaks import completed
from solver.openings.composed import Composed
from solver.openings.crews import Way
from solver.openings.hands import Hands
from solver.openings.helping import helps
from solver.openings.index import BookIndex
from solver.openings.meals import ShiftMeals, middle_place
from solver.openings.owed import CODES


@dataclass(frozen=True)
class _Rest:
    """What becomes of one person's meal break: kept, moved to a new place, or missed."""

    gone: PlannedBreak | None = None
    new: PlannedBreak | None = None
    missed: bool = False


def compose(
    index: BookIndex, request: Request, way: Way, start: int, chair: str | None
) -> Composed:
    """The place at slot `start`, which must be among the starts that fit `way`."""
    help_at, assistant_rest = _assistant(index, way, start)
    lead_rest = _lead(index, request, way, start)
    raster = index.raster
    phases: list[PlannedPhase] = []
    for number, work in enumerate(request.phases):
        begin, end = start + way.layout.bounds[number], start + way.layout.bounds[number + 1]
        helping: tuple[Help, ...] = ()
        if way.layout.helped == number and way.assistant is not None:
            window = raster.window(help_at, help_at + way.layout.help)
            helping = (Help(staff=way.assistant.person.id, window=window),)
        phases.append(
            PlannedPhase(
                kind=work.kind,
                window=raster.window(begin, end),
                performer=way.performer(number),
                basin=_basin(index, begin, end) if work.place is Place.BASIN else None,
                help=helping,
            )
        )
    visit = PlannedVisit(
        visit=request.id,
        chair=chair,
        lead=way.lead.person.id,
        window=raster.window(start, start + way.layout.length),
        phases=tuple(phases),
    )
    return _with_breaks(index, visit, way, start, lead_rest, assistant_rest)


def _with_breaks(
    index: BookIndex, visit: PlannedVisit, way: Way, start: int, *rests: _Rest
) -> Composed:
    number = index.block_at(start)
    crew = (visit.lead, *visit.assistants)
    gone = [rest.gone for rest in rests if rest.gone is not None]
    new = [rest.new for rest in rests if rest.new is not None]
    book, plan = index.days[number]
    stay = [each for each in plan.breaks if each.staff in crew and each not in gone]
    more = any(index.house.listed(code) for code in CODES)
    if more:
        # Breaks that were only completed, not given, are sought anew around the visit.
        stay = [each for each in stay if each in index.day_book.breaks]
    people = (way.lead, way.assistant)
    missed = tuple(
        hands.person.id
        for hands, rest in zip(people, rests, strict=True)
        if hands is not None and rest.missed
    )
    breaks = tuple(sorted((*stay, *new), key=lambda each: (each.window.start, each.staff)))
    if more:
        shifts = tuple(shift for shift in book.shifts if shift.staff in crew)
        theirs = book.model_copy(update={"shifts": shifts})
        visits = (*plan.visits, visit)
        breaks = completed(index.house, index.raster, theirs, visits, breaks)
    return Composed(visit, breaks, tuple(new), missed)


def current_break(index: BookIndex, hands: Hands, shift: ShiftMeals) -> PlannedBreak | None:
    """The meal break of a shift that owes one, as the book stands."""
    if not shift.needed or shift.movable is not None:
        return shift.movable
    place = middle_place(shift, shift.places)
    if place is None:
        return None
    return _meal(index, hands, place, shift.length)


def _lead(index: BookIndex, request: Request, way: Way, start: int) -> _Rest:
    pieces = way.layout.lead_pieces
    shift = way.lead.shift_at(start + pieces[0][0])
    if shift is None or not shift.needed:
        return _Rest()
    current = current_break(index, way.lead, shift)
    if way.layout.inside is None:
        work = sum(span(start + a, start + b) for a, b in pieces)
        return _rest(index, way.lead, shift, current, work)
    begin, end = (
        start + way.layout.bounds[way.layout.inside],
        start + way.layout.bounds[way.layout.inside + 1],
    )
    place = middle_place(shift, shift.allowed & span(begin, end - shift.length + 1))
    assert place is not None, "a break inside was promised a place"
    new = _meal(index, way.lead, place, shift.length, inside=request.id)
    return _Rest(gone=current, new=new)


def _assistant(index: BookIndex, way: Way, start: int) -> tuple[int, _Rest]:
    """Where the help starts (0 without help), and the assistant's break."""
    hands = way.assistant
    if hands is None:
        return 0, _Rest()
    fixed = sum(span(start + a, start + b) for a, b in way.layout.assistant_pieces)
    options = [(x, fixed | span(x, x + way.layout.help)) for x in _help_options(index, way, start)]
    options = options or [(0, fixed)]
    first = options[0][1]
    shift = hands.shift_at((first & -first).bit_length() - 1)
    if shift is None or not shift.needed:
        return options[0][0], _Rest()
    current = current_break(index, hands, shift)
    best: tuple[int, _Rest] | None = None
    for x, work in options:
        rest = _rest(index, hands, shift, current, work)
        if rest == _Rest():
            return x, rest
        if best is None or (best[1].missed and not rest.missed):
            best = (x, rest)
    assert best is not None, "there is always an option"
    return best


def _help_options(index: BookIndex, way: Way, start: int) -> Iterator[int]:
    if way.layout.helped is None or way.assistant is None:
        return
    at = helps(way.assistant, way.layout.help, index.raster.on_grid)
    first, last = (
        start + way.layout.bounds[way.layout.helped],
        start + way.layout.bounds[way.layout.helped + 1] - way.layout.help,
    )
    yield from slots(at & span(first, last + 1))


def _rest(
    index: BookIndex, hands: Hands, shift: ShiftMeals, current: PlannedBreak | None, work: int
) -> _Rest:
    if current is not None and not index.raster.taken([current.window]) & work:
        return _Rest()
    places = shift.places
    for ahead in range(shift.length):
        places &= ~(work >> ahead)
    place = middle_place(shift, places)
    if place is None:
        return _Rest(gone=current, missed=True)
    return _Rest(gone=current, new=_meal(index, hands, place, shift.length))


def _meal(
    index: BookIndex, hands: Hands, place: int, length: int, inside: str | None = None
) -> PlannedBreak:
    window = index.raster.window(place, place + length)
    return PlannedBreak(staff=hands.person.id, kind=BreakKind.MEAL, window=window, inside=inside)


def _basin(index: BookIndex, begin: int, end: int) -> str:
    for basin in index.basins:
        if index.basin_runs(basin, end - begin) >> begin & 1:
            return basin
    raise LookupError("no basin is free for the wash")
