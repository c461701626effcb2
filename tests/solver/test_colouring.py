"""Names for equal chairs."""

from __future__ import annotations

from itertools import product

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.colouring import Stay, colour, peak_use

SPANS = st.lists(
    st.tuples(st.integers(0, 40), st.integers(1, 15)).map(lambda s: (s[0], s[0] + s[1])),
    min_size=1,
    max_size=12,
)


def colours_needed(spans: list[tuple[int, int]]) -> int:
    """Colours of the interval graph by networkx: on a perfect graph, the largest clique."""
    graph = nx.Graph()
    graph.add_nodes_from(range(len(spans)))
    graph.add_edges_from(
        (i, j)
        for i, (start, end) in enumerate(spans)
        for j, (first, last) in enumerate(spans)
        if i < j and start < last and first < end
    )
    assert nx.is_chordal(graph)
    return max(len(clique) for clique in nx.chordal_graph_cliques(graph))


def overlaps(stays: list[Stay], named: dict[str, str]) -> bool:
    return any(
        named[one.id] == named[other.id] and one.start < other.end and other.start < one.end
        for one in stays
        for other in stays
        if one.id != other.id
    )


@given(SPANS)
def test_the_peak_is_what_colouring_the_interval_graph_needs(spans: list[tuple[int, int]]) -> None:
    assert peak_use(spans) == colours_needed(spans)


@given(SPANS, st.data())
def test_as_many_chairs_as_the_peak_are_enough_whatever_is_to_be_kept(
    spans: list[tuple[int, int]], data: st.DataObject
) -> None:
    chairs = [f"chair-{number}" for number in range(peak_use(spans))]
    stays = [
        Stay(f"visit-{number}", start, end, data.draw(st.sampled_from((None, *chairs, "sold"))))
        for number, (start, end) in enumerate(spans)
    ]
    named = colour(stays, chairs)
    assert set(named) == {stay.id for stay in stays}
    assert set(named.values()) <= set(chairs)
    assert not overlaps(stays, named)


@given(SPANS)
def test_a_colouring_that_holds_is_kept_whole(spans: list[tuple[int, int]]) -> None:
    chairs = [f"chair-{number}" for number in range(peak_use(spans))]
    stays = [Stay(f"visit-{number}", *span) for number, span in enumerate(spans)]
    before = colour(stays, chairs)
    again = [Stay(stay.id, stay.start, stay.end, before[stay.id]) for stay in stays]
    assert colour(again, list(reversed(chairs))) == before


def fewest_changes(stays: list[Stay], chairs: list[str]) -> int:
    """By trying every way."""
    ways = (
        dict(zip((stay.id for stay in stays), way, strict=True))
        for way in product(chairs, repeat=len(stays))
    )
    return min(changes(stays, named) for named in ways if not overlaps(stays, named))


def changes(stays: list[Stay], named: dict[str, str]) -> int:
    return sum(stay.keep is not None and named[stay.id] != stay.keep for stay in stays)


@given(
    st.lists(
        st.tuples(st.integers(0, 12), st.integers(1, 8), st.sampled_from((None, 0, 1, 2))),
        min_size=1,
        max_size=6,
    )
)
def test_as_few_as_can_be_leave_their_chair(facts: list[tuple[int, int, int | None]]) -> None:
    chairs = ["chair-0", "chair-1", "chair-2"]
    stays = [
        Stay(f"visit-{n}", start, start + size, None if keep is None else chairs[keep])
        for n, (start, size, keep) in enumerate(facts)
    ]
    if peak_use((stay.start, stay.end) for stay in stays) > len(chairs):
        return
    assert changes(stays, colour(stays, chairs)) == fewest_changes(stays, chairs)


def test_a_newcomer_goes_around_those_who_keep_their_chair() -> None:
    stays = [Stay("old", 10, 20, keep="chair-a"), Stay("new", 0, 15)]
    assert colour(stays, ["chair-a", "chair-b"]) == {"old": "chair-a", "new": "chair-b"}


def test_a_kept_chair_is_given_up_where_somebody_would_stand() -> None:
    # Both old ones on their chairs leave no chair free from 0 to 20, though two are enough.
    stays = [
        Stay("early", 0, 10, keep="chair-a"),
        Stay("late", 10, 20, keep="chair-b"),
        Stay("whole", 0, 20),
    ]
    named = colour(stays, ["chair-a", "chair-b"])
    assert not overlaps(stays, named)


def test_too_few_chairs_are_said_so() -> None:
    with pytest.raises(ValueError, match="more stays"):
        colour([Stay("one", 0, 10), Stay("other", 5, 15)], ["chair-a"])
