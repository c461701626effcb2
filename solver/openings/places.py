"""All places of a request: every way to staff it with the starts that fit."""

from __future__ import annotations

from collections.abc import Iterator

from solver.openings.crews import Way, assistants_for, leads_for, ways
from solver.openings.search import Search


def places(search: Search) -> Iterator[tuple[Way, int]]:
    """`(way, starts)` for every way that fits somewhere.

    A place is a start with a lead, an assistant or none, and a chair: it is listed if and only if
    some division of the crew phases, some contiguous help in one shared phase and some lie of the
    crew's breaks make a day without a hard finding.
    """
    house, hands = search.index.house, search.index.hands
    for lead in leads_for(search.request, hands, house):
        meal = house.meal(lead.person)
        inside = meal is not None and meal.inside == 1 and house.meal_is_hard
        for assistant in assistants_for(search.request, lead, hands):
            for way in ways(search.request, lead, assistant, search.index.raster, inside):
                starts = search.starts(way)
                if starts:
                    yield way, starts
