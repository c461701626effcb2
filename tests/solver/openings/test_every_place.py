"""What is listed equals what brute force finds, on random small books: nothing missing or wrong.

`PARTLINE_SMALL_BOOKS=500` tries more seeds than the few of an ordinary run.
"""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest

from schemas.openings import OpeningsQuestion
from solver.bits import slots
from solver.checker import hard_findings
from solver.openings import BookIndex, find_openings
from solver.openings.compose import compose
from solver.openings.crews import Way, needs_chair
from solver.openings.places import every_place, shortest_places
from solver.openings.sale import added
from solver.openings.search import Search
from tests.solver.openings.brute_force import PlaceKey, brute_force
from tests.solver.openings.small_books import Small, small

# Seed 18 is a book with so many ways that trying them all takes as long as all the others; in 1816
# somebody has a break that her short shift does not owe.
SEEDS = (
    range(int(os.environ["PARTLINE_SMALL_BOOKS"]))
    if "PARTLINE_SMALL_BOOKS" in os.environ
    else [*range(18), 19, 20, 1816]
)


def seats(search: Search, way: Way, starts: int) -> Iterator[tuple[str | None, int]]:
    """Every chair with the starts at which it is free for this way."""
    if not needs_chair(search.request):
        yield None, starts
        return
    for chair in search.index.fitting_chairs(search.request.chair_features):
        yield chair, starts & search.index.chair_runs(chair, way.layout.length)


def listed(search: Search) -> set[PlaceKey]:
    return {
        (
            search.index.raster.instant(slot),
            way.lead.person.id,
            None if way.assistant is None else way.assistant.person.id,
            chair,
        )
        for way, starts in every_place(search)
        for chair, bits in seats(search, way, starts)
        for slot in slots(bits)
    }


@pytest.mark.parametrize("seed", SEEDS)
def test_the_places_listed_are_those_that_brute_force_finds(seed: int) -> None:
    case = small(seed)
    search = Search(BookIndex.of(case.book), case.request)
    assert listed(search) == brute_force(case.book, case.request)


@pytest.mark.parametrize("seed", range(40))
def test_every_place_written_out_passes_the_checker(seed: int) -> None:
    case = small(seed)
    search = Search(BookIndex.of(case.book), case.request)
    index = search.index
    for way, starts in every_place(search):
        for chair, bits in seats(search, way, starts):
            for slot in slots(bits):
                made = compose(index, search.request, way, slot, chair)
                day = index.days[index.block_at(slot)]
                sale = added(day, search.request, made.visit, made.breaks)
                assert hard_findings(*sale) == ()


def by_kind(found: Iterator[tuple[Way, int]]) -> dict[tuple[str, bool], int]:
    kinds: dict[tuple[str, bool], int] = {}
    for way, starts in found:
        key = way.lead.person.id, way.assistant is not None
        kinds[key] = kinds.get(key, 0) | starts
    return kinds


@pytest.mark.parametrize("seed", range(40))
def test_the_shortest_ways_cover_the_same_starts_as_all_ways(seed: int) -> None:
    case = small(seed)
    search = Search(BookIndex.of(case.book), case.request)
    assert by_kind(shortest_places(search)) == by_kind(every_place(search))


@pytest.mark.parametrize("seed", range(40))
def test_a_request_has_either_openings_or_obstacles(seed: int) -> None:
    case: Small = small(seed)
    search = Search(BookIndex.of(case.book), case.request)
    starts = {key[0] for key in listed(search)}
    answer = find_openings(case.book, OpeningsQuestion(request=case.request, limit=50))
    assert answer.found == len(starts)
    assert {opening.start for opening in answer.openings} <= starts
    assert bool(answer.openings) == bool(starts)
    assert not (answer.openings and answer.obstacles)
