"""The places of a request: every way to staff it with the starts that fit."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from solver.openings.crews import Way, assistants_for, leads_for
from solver.openings.hands import Hands
from solver.openings.kept import Kept
from solver.openings.search import Search
from solver.openings.styles import Options


def every_place(search: Search) -> Iterator[tuple[Way, int]]:
    """`(way, starts)` for every way that fits somewhere.

    A place is a start with a lead, an assistant or none, and a chair: it is listed if and only if
    some division of the crew phases, some contiguous help in one shared phase and some lie of the
    crew's breaks make a day without a hard finding.
    """
    hands = search.index.hands
    for lead in leads_for(search.request, hands, search.index.house):
        for assistant in (None, *assistants_for(search.request, lead, hands)):
            for layout in search.layouts(lead, assistant):
                starts = search.starts(layout, lead, assistant) & search.suits(layout.length)
                if starts:
                    yield Way(lead, assistant, layout), starts


def shortest_places(search: Search) -> Iterator[tuple[Way, int]]:
    """Of every start and lead, alone or with an assistant, the shortest way that fits.

    The starts are those of `every_place`: for each lead and kind of crew each start is given once.
    Which of several assistants stands for a start follows the length of the visit, then the help
    she gives, then the order of the staff.
    """
    index, request = search.index, search.request
    for lead in leads_for(request, index.hands, index.house):
        for way, starts in _of_lead(search, lead):
            suits = starts & search.suits(way.layout.length)
            if suits:
                yield way, suits


def _of_lead(search: Search, lead: Hands) -> Iterator[tuple[Way, int]]:
    """The shortest ways of one lead with their starts, whenever the client could come.

    Where a longer visit fits into one of her windows, a shorter one from the same start does too.
    So the shortest way of a start is the same for every client of this style, or none of it suits
    her: it is reckoned once for all.
    """
    index, request, style = search.index, search.request, search.style
    yield from _kept(search, lead, [], lambda: style.alone(search.ability(lead)))
    assistants = list(assistants_for(request, lead, index.hands))
    if assistants:
        yield from _kept(
            search,
            lead,
            assistants,
            lambda: style.helped(
                search.ability(lead), tuple(search.ability(each, False) for each in assistants)
            ),
        )


def _kept(
    search: Search,
    lead: Hands,
    assistants: list[Hands],
    options: Callable[[], tuple[Options, ...]],
) -> Iterator[tuple[Way, int]]:
    """As `_of_lead`, for one kind of crew."""
    index = search.index
    key = (id(search.style), search.request.chair_features, lead.key, bool(assistants))
    known = index.ways.get(key)
    if known is None or known.stale:

        def as_they_are(way: Way) -> Way:
            """The same way with its people as the book has them now."""
            helper = None
            if way.assistant is not None:
                helper = next(each for each in assistants if each.key == way.assistant.key)
            if lead is way.lead and helper is way.assistant:
                return way
            return Way(lead, helper, way.layout)

        known = index.ways[key] = Kept.renewed(
            known, lambda slots: _shortest(search, lead, assistants, options(), slots), as_they_are
        )
    return ((way, starts) for _, way, starts in known.sets)


def _shortest(
    search: Search, lead: Hands, assistants: list[Hands], options: tuple[Options, ...], left: int
) -> Iterator[tuple[int, Way, int]]:
    """Each start of `left` once, with the first of the options that fits, and its rank."""
    placed, led, number = search.placed, lead.leads, 0
    for group in options:
        # Where a longer visit fits in the day, a shorter one does: this holds for all that follow.
        left &= search.frame(group.length)
        if left and group.least:
            left &= lead.free_near(group.least, group.nearest, group.farthest)
        if not left:
            return
        for layout, ranks in zip(group.layouts, group.ranks, strict=True):
            number += len(ranks)
            # Looked up here and not in a call each: this runs some thousand times a question.
            starts = placed.get(layout)
            starts = left & (search.places(layout) if starts is None else starts)
            if not starts:
                continue
            fits = led.get(layout)
            starts &= search.lead(layout, lead) if fits is None else fits
            for position, rank in enumerate(ranks):
                if not starts:
                    break
                own, assistant = starts, None
                if rank is not None:
                    assistant = assistants[rank]
                    fits = assistant.assists.get(layout)
                    own &= search.assistant(layout, assistant) if fits is None else fits
                if own:
                    left &= ~own
                    starts &= ~own
                    yield number - len(ranks) + position, Way(lead, assistant, layout), own
