"""The bit-set formulas for hands, help and breaks against trying every slot."""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from solver.bits import slots, span
from solver.openings.hands import Hands
from solver.openings.helping import help_starts, help_with_rest
from solver.openings.meals import ShiftMeals
from tests.builders import an_assistant

END = 30


def free_places(allowed: int, busy: int, length: int) -> int:
    return sum(1 << p for p in slots(allowed) if not busy & span(p, p + length))


def a_pair_of_hands(
    shift: tuple[int, int], busy: int, meal: int, starts: tuple[int, int], *, needed: bool = True
) -> Hands:
    """One shift; a break of `meal` slots may start from the first to the last of `starts`."""
    (start, end), (first, last) = shift, starts
    allowed = span(start + first, min(start + last, end - meal) + 1)
    places = free_places(allowed, busy, meal)
    meals = ShiftMeals(start, end, needed, meal, allowed, places, None)
    return Hands.of(an_assistant(), [meals], busy, ())


@st.composite
def cases(draw: st.DrawFn) -> tuple[Hands, int, tuple[tuple[int, int], ...], tuple[int, int, int]]:
    """Hands, what is taken, pieces around a shared phase, and the help in it."""
    start = draw(st.integers(0, 6))
    shift = (start, draw(st.integers(start + 8, END)))
    holes = draw(st.lists(st.tuples(st.integers(0, END), st.integers(1, 3)), max_size=4))
    busy = 0
    for at, length in holes:
        busy |= span(at, at + length)
    meal, first = draw(st.integers(1, 3)), draw(st.integers(0, 8))
    last = first + draw(st.integers(0, 12))
    hands = a_pair_of_hands(shift, busy, meal, (first, last), needed=draw(st.booleans()))
    clock, pieces = 0, []
    before, after = draw(st.integers(0, 2)), draw(st.integers(0, 2))
    for _ in range(before):
        clock += draw(st.integers(0, 4))
        length = draw(st.integers(1, 2))
        pieces.append((clock, clock + length))
        clock += length
    j0 = clock + draw(st.integers(0, 4))
    j1 = clock = j0 + draw(st.integers(1, 8))
    for _ in range(after):
        clock += draw(st.integers(0, 4))
        length = draw(st.integers(1, 2))
        pieces.append((clock, clock + length))
        clock += length
    joined: list[tuple[int, int]] = []
    for a, b in pieces:
        if joined and joined[-1][1] == a:
            joined[-1] = (joined[-1][0], b)
        else:
            joined.append((a, b))
    return hands, busy, tuple(joined), (j0, j1, draw(st.integers(1, j1 - j0)))


def able(hands: Hands, work: int) -> bool:
    return work & hands.free == work


def rested(hands: Hands, work: int) -> bool:
    (shift,) = hands.shifts
    return not shift.needed or any(
        not work & span(p, p + shift.length) for p in slots(shift.places)
    )


def taken(pieces: tuple[tuple[int, int], ...], s: int) -> int:
    return sum(span(s + a, s + b) for a, b in pieces)


@settings(max_examples=400)
@given(cases())
def test_a_break_stays_possible_exactly_where_one_place_is_clear_of_the_work(
    case: tuple[Hands, int, tuple[tuple[int, int], ...], tuple[int, int, int]],
) -> None:
    hands, _, pieces, _ = case
    if not pieces:
        return
    wanted = {
        s for s in range(END) if able(hands, taken(pieces, s)) and rested(hands, taken(pieces, s))
    }
    assert set(slots(hands.works(pieces) & hands.rests(pieces))) == wanted


@settings(max_examples=600)
@given(cases())
def test_help_and_break_find_room_exactly_where_trying_every_pair_does(
    case: tuple[Hands, int, tuple[tuple[int, int], ...], tuple[int, int, int]],
) -> None:
    hands, _, pieces, (j0, j1, h) = case
    with_rest, without = set(), set()
    for s in range(END):
        for x in range(s + j0, s + j1 - h + 1):
            work = taken(pieces, s) | span(x, x + h)
            if able(hands, work):
                without.add(s)
                if rested(hands, work):
                    with_rest.add(s)
    assert set(slots(help_starts(hands, pieces, (j0, j1, h), -1))) == without
    assert set(slots(help_with_rest(hands, pieces, (j0, j1, h), -1))) == with_rest


@settings(max_examples=200)
@given(cases())
@example((a_pair_of_hands((0, 20), 0, 3, (4, 9)), 0, (), (2, 8, 1)))
def test_a_break_inside_lies_wholly_in_the_phase_at_a_time_the_rule_allows(
    case: tuple[Hands, int, tuple[tuple[int, int], ...], tuple[int, int, int]],
) -> None:
    hands, _, _, (j0, j1, _) = case
    (shift,) = hands.shifts
    wanted = {
        s
        for s in range(END)
        if shift.needed
        and any(s + j0 <= p and p + shift.length <= s + j1 for p in slots(shift.allowed))
    }
    assert set(slots(hands.rests_inside(j0, j1))) == wanted
