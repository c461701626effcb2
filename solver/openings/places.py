"""The places of a request: every way to staff it with the starts that fit."""

from __future__ import annotations

from collections.abc import Iterator

from solver.openings.crews import Way, assistants_for, leads_for
from solver.openings.hands import Hands
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
    able = search.ability(lead)
    key = (id(style), request.chair_features, id(lead))
    yield from index.ways_of(
        (*key, False), lambda: tuple(_shortest(search, lead, [], style.alone(able)))
    )
    assistants = list(assistants_for(request, lead, index.hands))
    if assistants:
        helpers = tuple(search.ability(each, False) for each in assistants)
        yield from index.ways_of(
            (*key, True),
            lambda: tuple(_shortest(search, lead, assistants, style.helped(able, helpers))),
        )


def _shortest(
    search: Search, lead: Hands, assistants: list[Hands], options: tuple[Options, ...]
) -> Iterator[tuple[Way, int]]:
    """Each start once, with the first of the options that fits."""
    left, placed, led = -1, search.placed, lead.leads
    for group in options:
        # Where a longer visit fits in the day, a shorter one does: this holds for all that follow.
        left &= search.frame(group.length)
        if left and group.least:
            left &= lead.free_near(group.least, group.nearest, group.farthest)
        if not left:
            return
        for layout, ranks in group.ranked:
            # Looked up here and not in a call each: this runs some thousand times a question.
            starts = placed.get(layout)
            starts = left & (search.places(layout) if starts is None else starts)
            if not starts:
                continue
            fits = led.get(layout)
            starts &= search.lead(layout, lead) if fits is None else fits
            for rank in ranks:
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
                    yield Way(lead, assistant, layout), own
