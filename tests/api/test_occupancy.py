"""What a visit takes of the salon."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from api.services.occupancy import joined, occupied_by, without
from schemas.windows import TimeWindow
from tests.builders import (
    a_help,
    a_meal,
    a_phase,
    a_placed,
    a_planned_phase,
    a_request,
    a_wash,
    a_window,
    minutes_after,
)


def _told(visit_rows: object) -> set[tuple[str, str, str]]:
    return {
        (row.resource, f"{row.window.start:%H:%M}", f"{row.window.end:%H:%M}")
        for row in visit_rows  # type: ignore[attr-defined]
    }


def test_the_chair_is_taken_for_the_whole_visit_and_the_basin_for_its_phase() -> None:
    request = a_request("one", phases=(a_wash(30), a_phase(minutes=60)))
    assert _told(occupied_by(a_placed(request), ())) == {
        ("chair:chair-1", "09:00", "10:30"),
        ("basin:basin-1", "09:00", "09:30"),
        ("staff:lead-1", "09:00", "10:30"),
    }


def test_a_break_inside_splits_the_work_of_whoever_rests() -> None:
    braiding = a_planned_phase("9:00", "13:30", help_=[a_help("9:00", "13:30")])
    placed = a_placed(a_request("one"), phases=(braiding,))
    told = _told(occupied_by(placed, [a_meal("11:00", "11:30", inside="one")]))
    assert told == {
        ("chair:chair-1", "09:00", "13:30"),
        ("staff:lead-1", "09:00", "11:00"),
        ("staff:lead-1", "11:30", "13:30"),
        ("staff:assistant-1", "09:00", "13:30"),
    }


def test_a_break_of_another_visit_splits_nothing() -> None:
    placed = a_placed(a_request("one", 120))
    meal = a_meal("10:00", "10:30", inside="two")
    assert ("staff:lead-1", "09:00", "11:00") in _told(occupied_by(placed, [meal]))


def test_waiting_between_phases_takes_the_chair_but_no_hands() -> None:
    phases = (a_planned_phase("9:00", "10:00"), a_planned_phase("10:30", "11:00", "finish"))
    told = _told(occupied_by(a_placed(a_request("one"), phases=phases), ()))
    assert ("staff:lead-1", "09:00", "10:00") in told
    assert ("staff:lead-1", "10:30", "11:00") in told
    assert ("chair:chair-1", "09:00", "11:00") in told


def test_a_visit_without_a_chair_takes_hands_alone() -> None:
    assert _told(occupied_by(a_placed(a_request("one", 60), chair=None), ())) == {
        ("staff:lead-1", "09:00", "10:00")
    }


_pairs = st.tuples(st.integers(0, 200), st.integers(1, 60))


def _window(pair: tuple[int, int]) -> TimeWindow:
    begins = minutes_after(a_window("9:00", "10:00").start, pair[0])
    return TimeWindow(start=begins, end=minutes_after(begins, pair[1]))


def _minutes(windows: tuple[TimeWindow, ...]) -> set[int]:
    origin = a_window("9:00", "10:00").start
    taken: set[int] = set()
    for window in windows:
        first = round((window.start - origin).total_seconds() / 60)
        taken |= set(range(first, first + window.minutes))
    return taken


@given(st.lists(_pairs, max_size=8))
def test_joining_keeps_the_minutes_and_leaves_gaps_between(pairs: list[tuple[int, int]]) -> None:
    windows = tuple(_window(pair) for pair in pairs)
    merged = joined(windows)
    assert _minutes(merged) == _minutes(windows)
    assert all(one.end < two.start for one, two in pairwise(merged))


@given(_pairs, st.lists(_pairs, max_size=6))
def test_what_is_left_is_the_window_less_the_holes(
    pair: tuple[int, int], holes: list[tuple[int, int]]
) -> None:
    window, cut = _window(pair), tuple(_window(hole) for hole in holes)
    assert _minutes(without(window, cut)) == _minutes((window,)) - _minutes(cut)
