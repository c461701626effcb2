"""Nothing fits: which rules closed how many places.

A place here is a start the client can arrive at inside her windows, with a lead of the salon. Each
is counted once, under the first rule, in the order below, after which no way of staffing the visit
is left for it; so the counts add up to all places there were.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache, partial

from schemas.openings import Obstacle
from schemas.plan import PlannedVisit
from schemas.resources import Chair, Role
from schemas.rules import Finding
from solver.bits import runs, span
from solver.openings.crews import Way, assistants_for, leads_for, needs_chair
from solver.openings.hands import Hands
from solver.openings.helping import help_starts
from solver.openings.layouts import Layout
from solver.openings.search import Search
from solver.openings.standing import chair_free, placed_visits
from solver.rules import rule

ORDER = (
    "opening-hours",
    "client-window",
    "skilled-hands",
    "preferred-lead",
    "preferred-time",
    "within-shift",
    "hands-one-client",
    "meal-break",
    "basin-one-client",
    "fitting-chair",
    "chair-one-client",
    "turnaround",
)
"""The rules in the order in which they are asked; a day in trouble comes last."""


Step = Callable[[Way], int]
"""The starts that a rule leaves for a way, by itself."""


@dataclass
class _Alive:
    """A way, the starts left for it after `done` steps."""

    way: Way
    starts: int
    done: int = 0


def obstacles(
    search: Search, refused: Iterable[Finding] = (), *, nothing: bool = True
) -> tuple[Obstacle, ...]:
    """The rules in the way, those that closed most places first.

    `refused` are the breaches that kept back places which the bit sets had found; where something
    is offered all the same, they alone are told. With `nothing` offered, every place is counted.
    """
    closed: dict[str, int] = {}
    sentences: dict[str, str] = {}
    for finding in refused:
        closed[finding.rule] = closed.get(finding.rule, 0) + 1
        sentences[finding.rule] = finding.sentence
    if nothing:
        whole, steps = not closed, _steps(search)
        order = [(code, steps[code]) for code in ORDER if code in steps]
        for lead, left in _places(search):
            for code, count in _closed(search, order, lead, left, whole):
                closed[code] = closed.get(code, 0) + count
    ranked = sorted(closed.items(), key=lambda item: (-item[1], item[0]))
    return tuple(
        Obstacle(rule=code, sentence=sentences.get(code) or rule(code).sentence, places=count)
        for code, count in ranked
        if count
    )


def _places(search: Search) -> Iterator[tuple[str, int]]:
    """Every lead with the arrivals at which the client could come."""
    raster = search.index.raster
    suits = 0
    for window in search.request.windows:
        suits |= span(*raster.inward(window))
    arrivals = raster.arrivals & suits & span(0, raster.slots)
    for person in search.index.day_book.staff:
        if Role.LEAD in person.roles and not person.retired:
            yield person.id, arrivals


def _closed(
    search: Search, order: list[tuple[str, Step]], lead_id: str, left: int, whole: bool
) -> Iterator[tuple[str, int]]:
    """`(rule, places closed by it)` for one lead; together they are the `whole` of `left`."""
    index, request = search.index, search.request
    # Outside opening hours nothing fits, however short.
    open_ = index.open.union
    yield "opening-hours", (left & ~open_).bit_count()
    left &= open_
    able = [
        each for each in leads_for(request, index.hands, index.house) if each.person.id == lead_id
    ]
    alive = [_Alive(way, left) for way in _ways(search, able)]
    if not alive:
        yield _why_not_lead(search, lead_id), left.bit_count()
        return
    for number, (code, _) in enumerate(order):
        still = _still(alive, order[: number + 1], left)
        yield code, (left & ~still).bit_count()
        left = still
    for block, finding in zip(index.blocks, index.trouble, strict=True):
        if finding is not None:
            shut = left & index.raster.taken(block.windows)
            yield finding.rule, shut.bit_count()
            left ^= shut
    assert not (whole and left), "a place that no rule closes is an opening"


def _still(alive: list[_Alive], steps: list[tuple[str, Step]], left: int) -> int:
    """What of `left` some way is left for after `steps`; ways that are none any more drop out.

    Ways are asked only until all of `left` is known to be there: the others are asked when needed.
    """
    still, kept = 0, list[_Alive]()
    for number, each in enumerate(alive):
        if still == left:
            kept += alive[number:]
            break
        each.starts &= left
        for _, step in steps[each.done :]:
            if not each.starts:
                break
            each.starts &= step(each.way)
        each.done = len(steps)
        if each.starts:
            still |= each.starts
            kept.append(each)
    alive[:] = kept
    return still


def _ways(search: Search, leads: list[Hands]) -> list[Way]:
    return [
        Way(lead, assistant, layout)
        for lead in leads
        for assistant in (None, *assistants_for(search.request, lead, search.index.hands))
        for layout in search.layouts(lead, assistant)
    ]


def _why_not_lead(search: Search, lead_id: str) -> str:
    """Why this lead is out of the question."""
    wish = search.index.house.wish("preferred-lead", search.request)
    if lead_id not in search.index.hands:
        return "within-shift"
    if wish is not None and wish.hard and search.request.preferred_lead not in {None, lead_id}:
        return "preferred-lead"
    return "skilled-hands"


def _steps(search: Search) -> dict[str, Step]:
    """By rule, the starts it leaves for a way."""
    index, request = search.index, search.request

    def hands_of(way: Way, free: bool) -> int:
        """Where all hands are `free`, or else in, whatever their breaks."""
        layout = way.layout
        lead = index.views(way.lead)[free]
        starts = lead.leads.get(layout)
        if starts is None:
            starts = lead.leads[layout] = lead.works(layout.lead_pieces)
        if way.assistant is None or not starts:
            return starts
        helper = index.views(way.assistant)[free]
        fits = helper.assists.get(layout)
        if fits is None:
            fits = helper.assists[layout] = helps_in(helper, layout)
        return starts & fits

    def helps_in(helper: Hands, layout: Layout) -> int:
        if layout.floating is None:
            return helper.works(layout.assistant_pieces)
        on_grid = index.raster.on_grid
        return help_starts(helper, layout.assistant_pieces, layout.floating, on_grid)

    def rested(way: Way) -> int:
        starts = search.lead(way.layout, way.lead)
        if way.assistant is not None:
            starts &= search.assistant(way.layout, way.assistant)
        return starts

    @cache
    def hours(layout: Layout) -> int:
        return index.open_for(layout.length) & search.on_grid(layout)

    preferred = search.preferred()
    windows = cache(search.windows.fits)
    steps: dict[str, Step] = {
        "opening-hours": lambda way: hours(way.layout),
        "client-window": lambda way: windows(way.layout.length),
        "preferred-time": lambda _: preferred,
        "within-shift": lambda way: hands_of(way, False),
        "hands-one-client": lambda way: hands_of(way, True),
        "meal-break": rested,
        "basin-one-client": lambda way: search.basins(way.layout),
    }
    if needs_chair(request):
        steps |= _chair_steps(search)
    return steps


def _chair_steps(search: Search) -> dict[str, Step]:
    index, features = search.index, search.request.chair_features
    book, raster = index.day_book, index.raster
    fitting = [chair for chair in book.chairs if chair.id in index.fitting_chairs(features)]

    def some(name: str, visits: tuple[PlannedVisit, ...]) -> Callable[[int], int]:
        def free_of(chair: Chair) -> int:
            return chair_free(book, chair, visits, raster, 0)

        free = [index.remembered((name, each.id), partial(free_of, each)) for each in fitting]

        @cache
        def starts(length: int) -> int:
            found = 0
            for bits in free:
                found |= runs(bits, length)
            return found

        return starts

    in_use, unclaimed = some("empty", ()), some("unclaimed", placed_visits(book))
    return {
        "fitting-chair": lambda way: in_use(way.layout.length),
        "chair-one-client": lambda way: unclaimed(way.layout.length),
        "turnaround": lambda way: index.any_chair(features, way.layout.length),
    }
