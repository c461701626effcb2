"""People who come together get places that hold together, or are told that there are none."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise
from random import Random

import pytest
from pydantic import ValidationError

from schemas.booking import Request
from schemas.daybook import DayBook
from schemas.openings import GroupAnswer, GroupQuestion, Manner
from solver.bits import slots
from solver.errors import DayBookError
from solver.openings import BookIndex, booking_of, find_group_openings, hard_findings_of
from solver.openings.compose import compose
from solver.openings.crews import needs_chair
from solver.openings.places import every_place
from solver.openings.search import Search
from tests.builders import (
    a_basin,
    a_booking,
    a_chair,
    a_day_book,
    a_lead,
    a_phase,
    a_placed,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    a_wash,
    an_assistant,
    at,
    skills,
)
from tests.solver.openings.small_books import small

SIDE, AFTER = Manner.SIDE_BY_SIDE, Manner.ONE_AFTER_ANOTHER


def studio(leads: int = 2, chairs: int = 2, **changes: object) -> DayBook:
    staff = (*(a_lead(f"lead-{n}") for n in range(1, leads + 1)), an_assistant())
    facts = {
        "staff": staff,
        "shifts": tuple(a_shift(person.id) for person in staff),
        "chairs": tuple(a_chair(f"chair-{n}") for n in range(1, chairs + 1)),
    }
    return a_day_book(**{**facts, **changes})


def friends(*minutes: int, **facts: object) -> tuple[Request, ...]:
    return tuple(
        a_request(f"friend-{number}", phases=(a_phase(minutes=length),), **facts)
        for number, length in enumerate(minutes)
    )


def ask(book: DayBook, requests: tuple[Request, ...], manner: Manner, **facts: object):
    question = GroupQuestion(requests=requests, manner=manner, **facts)
    answer = find_group_openings(book, question)
    require_holds(book, requests, answer)
    return answer


def require_holds(book: DayBook, requests: tuple[Request, ...], answer: GroupAnswer) -> None:
    """Every group can be sold, one place after the other, and is told right."""
    for group in answer.openings:
        index = BookIndex.of(book)
        for request, opening in zip(requests, group.openings, strict=True):
            assert opening.visit.visit == request.id
            assert hard_findings_of(index.day_book, request, opening) == ()
            index = index.with_booking(booking_of(request, opening.visit), opening.breaks)
        assert group.start == group.openings[0].start
        assert group.finish == max(opening.finish for opening in group.openings)


def test_two_friends_sit_side_by_side_with_a_lead_each() -> None:
    answer = ask(studio(), friends(120, 120), SIDE)
    assert len(answer.openings) == 3
    for group in answer.openings:
        one, other = group.openings
        assert one.start == other.start
        assert one.chair != other.chair
        assert one.lead != other.lead
    assert answer.openings[0].start == at("9:00")


@pytest.mark.parametrize(("leads", "chairs"), [(1, 2), (2, 1)])
def test_two_friends_need_two_leads_and_two_chairs(leads: int, chairs: int) -> None:
    answer = ask(studio(leads, chairs), friends(120, 120), SIDE)
    assert answer.openings == ()
    assert answer.without_place == ()


def test_mother_and_child_come_one_after_the_other_to_the_same_lead() -> None:
    answer = ask(studio(1, 1), friends(120, 60), AFTER)
    for group in answer.openings:
        mother, child = group.openings
        assert mother.finish <= child.start <= mother.finish + timedelta(minutes=15)
        assert mother.lead == child.lead


def test_they_wait_for_each_other_no_longer_than_they_said() -> None:
    # After 9:00 to 10:00 the chair is cleaned for ten minutes; clients come by quarters.
    book = studio(1, 1, rules=(a_setting("turnaround", minutes=20),))
    assert ask(book, friends(60, 60), AFTER, most_wait=15).openings == ()
    assert ask(book, friends(60, 60), AFTER, most_wait=30).openings != ()


def test_the_first_takes_another_place_where_her_best_leaves_none_for_the_other() -> None:
    # Lead-1 alone would do for both; only she masters what the second needs.
    staff = (a_lead("lead-1"), a_lead("lead-2", skills=skills("braiding")))
    second = a_request("friend-1", phases=(a_phase("finish", 120),))
    first = a_request("friend-0", phases=(a_phase(minutes=120),), preferred_lead="lead-1")
    book = studio(staff=staff, shifts=tuple(a_shift(person.id) for person in staff))
    answer = ask(book, (first, second), SIDE, limit=1)
    assert [opening.lead for opening in answer.openings[0].openings] == ["lead-2", "lead-1"]


def test_three_come_at_one_time() -> None:
    answer = ask(studio(3, 3), friends(120, 180, 60), SIDE, limit=1)
    (group,) = answer.openings
    assert len({opening.lead for opening in group.openings}) == 3
    assert group.finish == at("12:00")


def test_one_assistant_does_not_help_two_friends_at_once() -> None:
    both = tuple(
        a_request(f"friend-{n}", phases=(a_wash(), a_shared_phase(180)), max_assistants=1)
        for n in range(2)
    )
    answer = ask(studio(basins=(a_basin("basin-1"), a_basin("basin-2"))), both, SIDE, limit=5)
    assert answer.openings
    for group in answer.openings:
        work = [
            window
            for opening in group.openings
            for phase in opening.visit.phases
            for window in (
                *([phase.window] if phase.performer == "assistant-1" else []),
                *(each.window for each in phase.help),
            )
        ]
        work.sort(key=lambda window: window.start)
        assert all(a.end <= b.start for a, b in pairwise(work))


def test_who_fits_nowhere_even_alone_is_named() -> None:
    answer = ask(studio(), friends(120, 660), SIDE)
    assert answer.openings == ()
    assert answer.without_place == ("friend-1",)


def test_one_who_has_a_place_already_is_refused() -> None:
    booking = a_booking("friend-1", "9:00", 60)
    booking = booking.model_copy(update={"placed": a_placed(booking, "9:00")})
    with pytest.raises(DayBookError) as refused:
        ask(studio(visits=[booking]), friends(60, 60), SIDE)
    assert refused.value.faults[0].pointer == "/requests/1/id"


def test_nobody_is_in_a_group_twice() -> None:
    with pytest.raises(ValidationError):
        GroupQuestion(requests=(*friends(60), *friends(60)))


def a_pair_exists(book: DayBook, first: Request, second: Request, manner: Manner) -> bool:
    """Tries every place of the first on every chair, and looks whether the second has one."""
    index = BookIndex.of(book)
    search = Search(index, first)
    for way, starts in every_place(search):
        chairs: tuple[str | None, ...] = (None,)
        if needs_chair(first):
            chairs = index.fitting_chairs(first.chair_features)
        for chair in chairs:
            free = -1 if chair is None else index.chair_runs(chair, way.layout.length)
            for slot in slots(starts & free):
                made = compose(index, first, way, slot, chair)
                after = index.with_booking(booking_of(first, made.visit), made.breaks)
                at_ = slot if manner is SIDE else slot + way.layout.length
                if any(bits >> at_ & 1 for _, bits in every_place(Search(after, second))):
                    return True
    return False


@pytest.mark.parametrize("manner", list(Manner))
@pytest.mark.parametrize("seed", range(600, 612))
def test_a_pair_is_found_where_there_is_one(seed: int, manner: Manner) -> None:
    case, draw = small(seed), Random(seed)
    work = case.request.phases if draw.random() < 0.3 else case.request.phases[:1]
    first = case.request.model_copy(update={"id": "first", "phases": work})
    second = first.model_copy(update={"id": "second"})
    answer = ask(case.book, (first, second), manner, limit=1, most_wait=0)
    assert bool(answer.openings) == a_pair_exists(case.book, first, second, manner)
