"""The places of a request: every way to staff it with the starts that fit."""

from __future__ import annotations

from collections.abc import Iterator

from solver.openings.crews import Way, assistants_for, leads_for
from solver.openings.hands import Hands
from solver.openings.layouts import Layout
from solver.openings.search import Search


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
                starts = search.starts(layout, lead, assistant)
                if starts:
                    yield Way(lead, assistant, layout), starts


def shortest_places(search: Search) -> Iterator[tuple[Way, int]]:
    """Of every start and lead, alone or with an assistant, the shortest way that fits.

    The starts are those of `every_place`: for each lead and kind of crew each start is given once.
    Which of several assistants stands for a start follows the length of the visit, then the help
    she gives, then the order of the staff.
    """
    hands = search.index.hands
    merged: dict[object, list[tuple[Hands, Layout]]] = {}
    for lead in leads_for(search.request, hands, search.index.house):
        seen = 0
        for layout in search.layouts(lead, None):
            starts = search.places(layout) & ~seen
            if starts:
                starts &= search.lead(layout, lead)
            if starts:
                seen |= starts
                yield Way(lead, None, layout), starts
        assistants = list(assistants_for(search.request, lead, hands))
        crew = (search.ability(lead), *(each.person.id for each in assistants))
        if crew not in merged:
            merged[crew] = _shortest_first(search, lead, assistants)
        seen = 0
        for assistant, layout in merged[crew]:
            starts = search.places(layout) & ~seen
            if starts:
                starts &= search.lead(layout, lead)
            if starts:
                starts &= search.assistant(layout, assistant)
            if starts:
                seen |= starts
                yield Way(lead, assistant, layout), starts


def _shortest_first(
    search: Search, lead: Hands, assistants: list[Hands]
) -> list[tuple[Hands, Layout]]:
    options = [
        (layout.length, layout.help, rank, assistant, layout)
        for rank, assistant in enumerate(assistants)
        for layout in search.layouts(lead, assistant)
    ]
    options.sort(key=lambda option: option[:3])
    return [option[3:] for option in options]
