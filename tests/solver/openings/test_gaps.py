"""Who could take a gap: only who fits in it, the longest waiting first, each with her own place."""

from __future__ import annotations

from datetime import timedelta

import pytest
from pydantic import ValidationError

from schemas.booking import BookingStatus
from schemas.openings import GapQuestion, Waiting
from solver.errors import DayBookError
from solver.openings import BookIndex, gap_takers, hard_findings_of
from tests.builders import (
    DAY,
    a_booking,
    a_chair,
    a_day_book,
    a_lead,
    a_phase,
    a_placed,
    a_request,
    a_shift,
    a_window,
    at,
    skills,
)


def placed(visit_id: str, start: str, minutes: int, **where: object):
    booking = a_booking(visit_id, start, minutes)
    return booking.model_copy(update={"placed": a_placed(booking, start, **where)})


def waits(name: str, days: int, minutes: int = 120, **request: object) -> Waiting:
    """Somebody who has waited for so many days."""
    asked = a_request(name, **{"phases": (a_phase(minutes=minutes),), **request})
    return Waiting(request=asked, since=at("9:00") - timedelta(days=days))


def full_day(**changes: object):
    """One lead and one chair, taken from 9 to 18 by three visits of three hours."""
    visits = [placed("a", "9:00", 180), placed("b", "12:00", 180), placed("c", "15:00", 180)]
    staff = (a_lead(),)
    return a_day_book(**{"visits": visits, "staff": staff, "shifts": (a_shift(),), **changes})


def asked(*waiting: Waiting, freed: str = "b") -> GapQuestion:
    return GapQuestion(freed=freed, waiting=waiting)


def test_who_has_waited_longest_comes_first() -> None:
    found = gap_takers(full_day(), asked(waits("new", 1), waits("old", 9), waits("older", 20)))
    assert [taker.request for taker in found.takers] == ["older", "old", "new"]
    assert found.gap == a_window("12:00", "15:00")


def test_who_waits_equally_long_comes_in_the_order_of_ids() -> None:
    found = gap_takers(full_day(), asked(waits("two", 3), waits("one", 3)))
    assert [taker.request for taker in found.takers] == ["one", "two"]


def test_who_needs_longer_than_the_gap_waits_on() -> None:
    long = waits("long", 9, minutes=240)
    found = gap_takers(full_day(), asked(long, waits("short", 1)))
    assert [taker.request for taker in found.takers] == ["short"]
    assert found.without_place == ("long",)


def test_every_place_meets_the_gap_and_can_be_sold() -> None:
    book = full_day()
    found = gap_takers(book, asked(waits("one", 2), waits("two", 1, minutes=60)))
    after = book.model_copy(update={"bookings": (book.bookings[0], book.bookings[2])})
    for taker in found.takers:
        assert taker.opening.visit.window.overlaps(found.gap)
        request = a_request(
            taker.request,
            phases=(a_phase(minutes=taker.opening.visit.window.minutes),),
        )
        assert hard_findings_of(after, request, taker.opening) == ()


def test_two_short_visits_may_both_take_one_gap_and_a_third_may_not() -> None:
    three = [waits(name, days, minutes=90) for name, days in (("x", 3), ("y", 2), ("z", 1))]
    first, second, third = gap_takers(full_day(), asked(*three)).takers
    assert first.after_others == first.opening
    assert second.after_others is not None
    assert not second.after_others.visit.window.overlaps(first.after_others.visit.window)
    assert third.opening is not None
    assert third.after_others is None


def test_a_place_there_was_anyway_is_told_from_one_that_the_gap_makes() -> None:
    # A second lead is free all afternoon; only she masters twists.
    staff = (a_lead(), a_lead("lead-2", skills=skills("twist")))
    book = full_day(
        staff=staff,
        shifts=(a_shift(), a_shift("lead-2")),
        chairs=(a_chair("chair-1"), a_chair("chair-2")),
    )
    anyway = waits("anyway", 2, phases=(a_phase("twist", 60, skill="twist"),))
    found = gap_takers(book, asked(anyway, waits("now", 1)))
    assert {taker.request: taker.only_now for taker in found.takers} == {
        "anyway": False,
        "now": True,
    }


def test_places_that_do_not_meet_the_gap_are_not_told() -> None:
    tomorrow = DAY + timedelta(days=1)
    book = full_day(
        open=(a_window("9:00", "19:00"), a_window("9:00", "19:00", tomorrow)),
        shifts=(a_shift(), a_shift(day=tomorrow)),
    )
    found = gap_takers(
        book, asked(waits("late", 1, windows=(a_window("9:00", "19:00", tomorrow),)))
    )
    assert found.takers == ()
    assert found.without_place == ("late",)


def test_a_booking_called_off_already_leaves_the_same_gap() -> None:
    book = full_day()
    off = tuple(
        each.model_copy(update={"status": BookingStatus.CANCELLED}) if each.id == "b" else each
        for each in book.bookings
    )
    question = asked(waits("one", 2), waits("two", 1))
    called_off = book.model_copy(update={"bookings": off})
    assert gap_takers(called_off, question) == gap_takers(book, question)


def test_a_standing_index_gives_the_same_answer() -> None:
    book, question = full_day(), asked(waits("one", 2), waits("two", 1))
    assert gap_takers(book, question, index=BookIndex.of(book)) == gap_takers(book, question)


@pytest.mark.parametrize(
    ("question", "pointer"),
    [
        (asked(waits("one", 1), freed="nobody"), "/freed"),
        (asked(waits("one", 1), waits("a", 1)), "/waiting/1/request/id"),
    ],
)
def test_what_is_not_free_or_not_waiting_is_refused(question: GapQuestion, pointer: str) -> None:
    with pytest.raises(DayBookError) as refused:
        gap_takers(full_day(), question)
    assert [fault.pointer for fault in refused.value.faults] == [pointer]


def test_nobody_waits_twice() -> None:
    with pytest.raises(ValidationError):
        asked(waits("one", 1), waits("one", 2))
