"""Sets of slots against plain sets."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from solver.bits import first_at_or_after, last_before, moved, runs, slots, span, within
from solver.openings.layers import Layers

SETS = st.sets(st.integers(0, 40))


def bits(members: set[int]) -> int:
    return sum(1 << member for member in members)


@given(SETS, st.integers(1, 9))
def test_a_run_is_so_many_members_on_end(members: set[int], length: int) -> None:
    wanted = {s for s in range(50) if all(s + ahead in members for ahead in range(length))}
    assert set(slots(runs(bits(members), length))) == wanted


@given(SETS, st.integers(-12, 12), st.integers(0, 12))
def test_within_asks_for_a_member_near_enough(members: set[int], nearest: int, more: int) -> None:
    wanted = {
        s for s in range(60) if any(s + by in members for by in range(nearest, nearest + more + 1))
    }
    assert set(slots(within(bits(members), nearest, nearest + more))) == wanted


@given(SETS, st.integers(-9, 9))
def test_moving_loses_only_what_falls_before_slot_0(members: set[int], by: int) -> None:
    assert set(slots(moved(bits(members), by))) == {m + by for m in members if m + by >= 0}


@given(SETS, st.integers(0, 45))
def test_neighbours_are_the_nearest_members(members: set[int], slot: int) -> None:
    assert first_at_or_after(bits(members), slot) == min(
        (m for m in members if m >= slot), default=None
    )
    assert last_before(bits(members), slot) == max((m for m in members if m < slot), default=None)


def test_a_span_leaves_out_its_end_and_what_lies_before_slot_0() -> None:
    assert set(slots(span(-3, 2))) == {0, 1}
    assert span(5, 5) == span(6, 5) == 0


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(1, 8)), max_size=6), st.integers(1, 10))
def test_no_run_crosses_the_seam_of_two_windows(
    windows: list[tuple[int, int]], length: int
) -> None:
    spans = [(start, start + long) for start, long in windows]
    wanted = {
        s for s in range(50) if any(first <= s and s + length <= last for first, last in spans)
    }
    assert set(slots(Layers.of(spans).fits(length))) == wanted
