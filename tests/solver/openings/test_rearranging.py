"""With rearranging: yes and no are the planner's, what moves is what differs, promises hold.

The books are random and small (see `small_books`), with promises that leave some room. Judges: the
planner on the same day, the independent checker, and differences reckoned here from the documents.
"""

from __future__ import annotations

import random

import pytest

from schemas.openings import OpeningsQuestion
from schemas.rearranging import Room
from schemas.repair import WhatChanged
from solver.checker import hard_findings
from solver.errors import DayBookError
from solver.explain.prove import prove
from solver.model.search import Budget
from solver.openings import BookIndex, find_openings, rearranged_days
from tests.builders import (
    a_booking,
    a_chair,
    a_day_book,
    a_lead,
    a_placed,
    a_request,
    a_shift,
    a_window,
)
from tests.solver.openings.brute_force import day_alone
from tests.solver.openings.small_books import small

SEEDS = range(90)
ENOUGH = 20.0
"""Seconds that no day here needs."""


def rearranged(book, request, seconds=ENOUGH, **options):
    question = OpeningsQuestion(request=request)
    return list(rearranged_days(book, question, seconds=seconds, **options))


def a_loose_day(seed):
    """The first day of a small book, its promises loosened, and the request."""
    draw = random.Random(f"loose-{seed}")
    one = small(seed)
    book = day_alone(one.book, one.book.open[0].start.date())

    def loosened(booking):
        tolerance = draw.choice([0, 30, 60])
        lead = draw.choice([None, booking.placed.lead])
        promise = booking.promise.model_copy(update={"tolerance": tolerance, "lead": lead})
        return booking.model_copy(update={"promise": promise})

    return book.model_copy(update={"bookings": tuple(map(loosened, book.bookings))}), one.request


@pytest.fixture(scope="module")
def answers():
    """Each random day with its answer."""
    found = []
    for seed in SEEDS:
        book, request = a_loose_day(seed)
        found += [(book, request, answer) for answer in rearranged(book, request)]
    return found


def test_yes_and_no_are_the_planners(answers):
    for book, request, answer in answers:
        asked = book.model_copy(update={"requests": (request,)})
        accepted = prove(asked, request.id, Budget(ENOUGH)) is not None
        assert answer.room is not Room.OUT_OF_TIME
        assert (answer.room is not Room.NONE) == accepted


def test_all_answers_come_up(answers):
    rooms = [answer.room for _, _, answer in answers]
    assert min(rooms.count(room) for room in set(Room) - {Room.OUT_OF_TIME}) >= 5


def test_no_promise_and_no_hard_rule_is_broken(answers):
    for book, request, answer in answers:
        if answer.plan is None:
            continue
        asked = book.model_copy(update={"requests": (request,)})
        assert not hard_findings(asked, answer.plan)
        placed = {visit.visit: visit for visit in answer.plan.visits}
        assert placed[request.id] == answer.visit
        for booking in book.bookings:
            promise, visit = booking.promise, placed[booking.id]
            assert abs((visit.window.start - promise.start).total_seconds()) <= (
                60 * promise.tolerance
            )
            assert promise.lead in {None, visit.lead}


def test_what_it_says_moves_is_the_difference_of_the_plans(answers):
    for book, request, answer in answers:
        if answer.plan is None:
            continue
        assert said(answer) == differing(book, request, answer)


def said(answer):
    visits = {(each.what, each.visit) for each in answer.moves if each.visit is not None}
    breaks = {(each.what, each.staff) for each in answer.moves if each.visit is None}
    return visits | breaks


def differing(book, request, answer):
    """What differs between the book's day as it stands and the answer's, field by field."""
    found = set()
    index = BookIndex.of(book)
    before = [visit for _, plan in index.days for visit in plan.visits]
    after = {visit.visit: visit for visit in answer.plan.visits}
    for old in before:
        new = after.pop(old.visit)
        facts = {
            WhatChanged.START: lambda visit: visit.window.start,
            WhatChanged.FINISH: lambda visit: visit.window.end,
            WhatChanged.LEAD: lambda visit: visit.lead,
            WhatChanged.CHAIR: lambda visit: visit.chair,
            WhatChanged.CREW: duties,
        }
        found |= {(what, old.visit) for what, fact in facts.items() if fact(old) != fact(new)}
    assert set(after) == {request.id}
    stood = {break_facts(each) for _, plan in index.days for each in plan.breaks}
    found |= {
        (WhatChanged.BREAK, staff)
        for staff, *_ in stood ^ {break_facts(each) for each in answer.plan.breaks}
    }
    return found


def duties(visit):
    return {
        (staff, phase.kind, window.start, window.end, role)
        for phase in visit.phases
        for staff, window, role in (
            (phase.performer, phase.window, "performs"),
            *((help_.staff, help_.window, "helps") for help_ in phase.help),
        )
    }


def break_facts(rest):
    return rest.staff, rest.kind, rest.window.start, rest.window.end


def test_a_day_with_an_opening_is_answered_as_booked(answers):
    for book, request, answer in answers:
        openings = find_openings(book, OpeningsQuestion(request=request)).openings
        if openings:
            assert answer.room is Room.AS_BOOKED


def two_leads(booking, **changes):
    """Two leads who both could, one chair each, from nine to one; the first is booked."""
    facts = {
        "staff": (a_lead("lead-1"), a_lead("lead-2")),
        "shifts": (a_shift("lead-1", "9:00", "13:00"), a_shift("lead-2", "9:00", "13:00")),
        "open": (a_window("9:00", "13:00"),),
        "chairs": (a_chair("chair-1"), a_chair("chair-2")),
    }
    return a_day_book(bookings=(booking,), **{**facts, **changes})


def booked(start="9:00", minutes=120, **changes):
    """Ada with the first lead; `lead` promises one."""
    booking = a_booking("ada", start, minutes, **changes)
    return booking.model_copy(update={"placed": a_placed(booking, start)})


def wants_lead_1(minutes=180, **changes):
    return a_request("nia", minutes, required_lead="lead-1", **changes)


def test_another_lead_takes_over_where_none_was_promised():
    (answer,) = rearranged(two_leads(booked()), wants_lead_1())
    assert answer.room is Room.WITH_REARRANGING
    assert answer.visit.lead == "lead-1"
    assert {each.what for each in answer.moves} >= {WhatChanged.LEAD}
    told = {person.id for each in answer.moves for person in each.tell}
    assert {"ada", "lead-2"} <= told


def test_a_promised_lead_stays():
    (answer,) = rearranged(two_leads(booked(lead="lead-1")), wants_lead_1())
    assert answer.room is Room.NONE
    assert answer.plan is None


def test_a_start_moves_within_its_tolerance_alone():
    one = {"staff": (a_lead("lead-1"),), "shifts": (a_shift("lead-1", "9:00", "13:00"),)}
    for tolerance, room in ((0, Room.NONE), (60, Room.WITH_REARRANGING)):
        book = two_leads(booked("10:00", 120, tolerance=tolerance), **one)
        (answer,) = rearranged(book, wants_lead_1(120))
        assert answer.room is room


def test_a_tentative_booking_with_a_place_keeps_one():
    one = {"staff": (a_lead("lead-1"),), "shifts": (a_shift("lead-1", "9:00", "13:00"),)}
    book = two_leads(booked(status="TENTATIVE"), **one)
    (answer,) = rearranged(book, wants_lead_1())
    assert answer.room is Room.NONE


def test_it_stops_when_it_is_told_to():
    book = two_leads(booked(lead="lead-1"))
    assert rearranged(book, wants_lead_1(), stop=lambda: True) == []
    asked = iter([False])
    answers = rearranged(book, wants_lead_1(), stop=lambda: next(asked, True))
    assert [answer.room for answer in answers] == [Room.OUT_OF_TIME]


def test_no_time_at_all_is_told_from_no():
    (answer,) = rearranged(two_leads(booked()), wants_lead_1(), seconds=0.0)
    assert answer.room is Room.OUT_OF_TIME


def test_days_are_looked_at_one_by_one_in_the_windows_of_the_client():
    one = small(1)
    book = one.book.model_copy(update={"bookings": (), "breaks": ()})
    request = one.request.model_copy(update={"windows": (a_window("0:00", "1:00"),)})
    assert rearranged(book, request) == []


def test_who_has_a_place_already_is_refused():
    book = two_leads(booked())
    with pytest.raises(DayBookError):
        rearranged(book, a_request("ada", 60))
