"""Nothing fits: which rules closed how many places.

A place here is a start the client can arrive at inside her windows, with a lead of the salon. Each
is counted once, under the first rule, in the order below, after which no way of staffing the visit
is left for it; so the counts add up to all places there were.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import cache

from schemas.openings import Obstacle
from schemas.resources import Role
from schemas.rules import Finding
from solver.bits import span
from solver.openings.crews import leads_for, needs_chair
from solver.openings.reaches import EMPTY, HOURS, is_staffed, reaches_of
from solver.openings.search import Search
from solver.rules import rule

STEPS = (
    "opening-hours",
    "within-shift",
    "hands-one-client",
    "meal-break",
    "basin-one-client",
    "fitting-chair",
    "chair-one-client",
    "turnaround",
)
"""The rule of every step in `reaches`. After opening hours come `client-window`, `skilled-hands`,
`preferred-lead` and `preferred-time`, which hang on the client; a day in trouble comes last."""


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
        whole, fits = not closed, cache(search.windows.fits)
        for lead, left in _places(search):
            for code, count in _closed(search, lead, left, fits, whole):
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
    search: Search, lead: str, left: int, fits: Callable[[int], int], whole: bool
) -> Iterator[tuple[str, int]]:
    """`(rule, places closed by it)` for one lead; together they are the `whole` of `left`."""
    index, request = search.index, search.request
    # Outside opening hours nothing fits, however short.
    open_ = index.open.union
    yield "opening-hours", (left & ~open_).bit_count()
    left &= open_
    able = [each for each in leads_for(request, index.hands, index.house) if each.person.id == lead]
    if not is_staffed(search, able):
        yield _why_not_lead(search, lead), left.bit_count()
        return
    reaches = [list[tuple[int, int]]() for _ in STEPS]
    for reach, starts in reaches_of(search, lead, able):
        reaches[reach.step].append((reach.length, starts))
    preferred, last = search.preferred(), len(STEPS) if needs_chair(request) else EMPTY
    for step, code in enumerate(STEPS[:last]):
        still = suits = 0
        for length, starts in reaches[step]:
            still |= starts
            suits |= starts & fits(length)
        if step == HOURS:
            yield code, (left & ~still).bit_count()
            left &= still
            yield "client-window", (left & ~suits).bit_count()
            left &= suits
            yield "preferred-time", (left & ~preferred).bit_count()
            left &= preferred
        else:
            yield code, (left & ~suits).bit_count()
            left &= suits
        if not left:
            return
    for block, finding in zip(index.blocks, index.trouble, strict=True):
        if finding is not None:
            shut = left & index.raster.taken(block.windows)
            yield finding.rule, shut.bit_count()
            left ^= shut
    assert not (whole and left), "a place that no rule closes is an opening"


def _why_not_lead(search: Search, lead_id: str) -> str:
    """Why this lead is out of the question."""
    wish = search.index.house.wish("preferred-lead", search.request)
    if lead_id not in search.index.hands:
        return "within-shift"
    if wish is not None and wish.hard and search.request.preferred_lead not in {None, lead_id}:
        return "preferred-lead"
    return "skilled-hands"
