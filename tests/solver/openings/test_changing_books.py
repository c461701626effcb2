"""An index that follows the book is equal to one built anew, and answers the same."""

from __future__ import annotations

from random import Random

import pytest

from schemas.booking import Booking, BookingStatus, Promise, Request
from schemas.daybook import DayBook
from schemas.openings import Opening, OpeningsQuestion
from solver.openings import BookIndex, find_openings
from tests.builders import a_chair, a_day_book, a_meal, a_phase, a_request
from tests.solver.openings.small_books import small


def booked(request: Request, opening: Opening) -> Booking:
    kept = {name: getattr(request, name) for name in type(request).model_fields}
    for name in ("windows", "preferred", "value"):
        kept.pop(name)
    promise = Promise(start=opening.start)
    return Booking(**kept, promise=promise, placed=opening.visit)


def ask(index: BookIndex, request: Request, limit: int = 3):
    question = OpeningsQuestion(request=request, limit=limit)
    return find_openings(index.day_book, question, index=index)


def require_as_new(index: BookIndex, *asked: Request) -> None:
    anew = BookIndex.of(index.day_book)
    assert index == anew
    for request in asked:
        assert ask(index, request) == ask(anew, request)


@pytest.mark.parametrize("seed", range(500, 540))
def test_an_index_that_follows_the_book_is_equal_to_one_built_anew(seed: int) -> None:
    case, draw = small(seed), Random(seed)
    index = BookIndex.of(case.book)
    again = case.request.model_copy(update={"id": "asked-later"})
    before = index
    for number in range(6):
        request = case.request.model_copy(update={"id": f"new-{number}"})
        ask(index, again)  # something to remember
        answer = ask(index, request)
        match draw.randrange(4):
            case 0 | 1 if answer.openings:
                opening = draw.choice(answer.openings)
                index = index.with_booking(booked(request, opening), opening.breaks)
                assert request.id in {each.id for each in index.day_book.bookings}
            case 2 if index.day_book.bookings:
                gone = draw.choice(index.day_book.bookings)
                index = index.without_booking(gone.id)
            case _ if index.day_book.bookings:
                other = draw.choice(index.day_book.bookings)
                status = draw.choice((BookingStatus.CANCELLED, BookingStatus.CONFIRMED))
                index = index.with_booking(other.model_copy(update={"status": status}))
        require_as_new(index, again)
    assert before == BookIndex.of(case.book)


def test_what_a_change_does_not_touch_is_taken_over() -> None:
    book = a_day_book(chairs=(a_chair("chair-1"), a_chair("chair-2")))
    index = BookIndex.of(book)
    request = a_request(phases=(a_phase(minutes=60),))
    opening = ask(index, request).openings[0]
    after = index.with_booking(booked(request, opening), opening.breaks)
    assert after.hands["assistant-1"] is index.hands["assistant-1"]
    assert after.hands["lead-1"] is not index.hands["lead-1"]
    other = "chair-2" if opening.chair == "chair-1" else "chair-1"
    assert after.chairs[other] is index.chairs[other]


def test_a_break_that_moves_is_followed() -> None:
    book = a_day_book(breaks=(a_meal("12:00", "12:30"),), rules=None)
    moved = book.model_copy(update={"breaks": (a_meal("13:00", "13:30"),)})
    index = BookIndex.of(book).changed(moved)
    require_as_new(index, a_request(phases=(a_phase(minutes=240),)))


def test_a_book_that_differs_in_more_is_read_anew() -> None:
    book: DayBook = a_day_book()
    wider = book.model_copy(update={"chairs": (*book.chairs, a_chair("chair-9"))})
    index = BookIndex.of(book).changed(wider)
    assert "chair-9" in index.chairs
    require_as_new(index)
