"""No opening is offered that a rule of the house refuses, rule by rule."""

from __future__ import annotations

from datetime import timedelta

import pytest

from schemas.openings import OpeningsQuestion
from schemas.work import Performer
from solver.openings import find_openings, hard_findings_of
from tests.builders import (
    DAY,
    HELP,
    SKILLS,
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
    a_window,
    an_assistant,
    at,
    skills,
)
from tests.solver.figures.hair_builders import hair, stock

TOMORROW = DAY + timedelta(days=1)


def offered(book, limit: int = 20, **facts):
    """The openings for a request; every one of them passes the checker in the whole book."""
    request = a_request(**{"phases": (a_phase(minutes=120),), **facts})
    answer = find_openings(book, OpeningsQuestion(request=request, limit=limit))
    for opening in answer.openings:
        assert hard_findings_of(book, request, opening) == ()
    return answer


def booked(visit_id: str, start: str, minutes: int, *, chair="chair-1", lead="lead-1", **facts):
    booking = a_booking(visit_id, start, minutes, **facts)
    day = facts.get("day", DAY)
    return booking.model_copy(
        update={"placed": a_placed(booking, start, chair=chair, lead=lead, day=day)}
    )


@pytest.mark.parametrize(("minutes", "late"), [(120, False), (90, True)])
def test_no_long_visit_is_offered_after_the_latest_start(minutes: int, late: bool) -> None:
    rules = (a_setting("latest-start", longer=90, after="12:00"),)
    answer = offered(a_day_book(rules=rules), limit=50, phases=(a_phase(minutes=minutes),))
    assert answer.openings
    assert any(opening.start > at("12:00") for opening in answer.openings) == late
    refused = {obstacle.rule for obstacle in answer.obstacles}
    assert ("latest-start" in refused) == (not late)


def test_no_client_is_offered_a_time_when_too_many_of_her_kind_are_there() -> None:
    book = a_day_book(
        visits=[booked("child", "11:00", 120, tags=("child",))],
        chairs=(a_chair(), a_chair("chair-2")),
        staff=(a_lead(), a_lead("lead-2")),
        rules=(a_setting("at-most-together", visits=1, visit_tags=("child",)),),
    )
    starts = {opening.start for opening in offered(book, tags=("child",), limit=50).openings}
    assert starts
    assert all(start <= at("9:00") or start >= at("13:00") for start in starts)
    others = {opening.start for opening in offered(book, limit=50).openings}
    assert at("11:00") in others


def test_no_apprentice_is_offered_to_braid_alone() -> None:
    able = skills(*SKILLS, HELP, level=2)
    book = a_day_book(
        staff=(a_lead(), an_assistant("ana", skills=able)),
        rules=(a_setting("supervised-apprentice"),),
    )
    work = (a_shared_phase(120, performer=Performer.CREW),)
    answer = offered(book, phases=work)
    assert answer.openings
    for opening in answer.openings:
        assert [phase.performer for phase in opening.visit.phases] == ["lead-1"]


def test_no_wash_is_offered_while_the_basins_are_closed() -> None:
    rules = (a_setting("resource-closed", weekday=2, since="00:00", until="15:00"),)
    work = (a_wash(30), a_phase(minutes=60))
    starts = [opening.start for opening in offered(a_day_book(rules=rules), phases=work).openings]
    assert min(starts) >= at("15:00")


def two_days(*visits, grams: float, arriving: float = 0):
    orders = ((arriving, TOMORROW),) if arriving else ()
    days = (DAY, TOMORROW)
    return a_day_book(
        visits=visits,
        open=tuple(a_window("9:00", "19:00", day) for day in days),
        staff=(a_lead(),),
        shifts=tuple(a_shift(day=day) for day in days),
        stock=(stock(grams, *orders),),
        rules=(a_setting("hair-on-hand"),),
    )


def days_offered(book, grams: float):
    windows = tuple(a_window("9:00", "19:00", day) for day in (DAY, TOMORROW))
    answer = offered(book, hair=(hair(grams),), windows=windows, limit=50)
    return {opening.start.date() for opening in answer.openings}


def test_nothing_is_offered_before_its_hair_has_come() -> None:
    assert days_offered(two_days(grams=50, arriving=20), 60) == {TOMORROW}
    assert days_offered(two_days(grams=50), 60) == set()


def test_hair_that_a_booking_of_another_day_takes_is_not_offered_again() -> None:
    today = booked("booked", "9:00", 60, hair=(hair(60),))
    tomorrow = booked("booked", "9:00", 60, hair=(hair(60),), day=TOMORROW)
    for visit in (today, tomorrow):
        assert days_offered(two_days(visit, grams=100), 60) == set()
        assert days_offered(two_days(visit, grams=100), 40) == {DAY, TOMORROW}
    assert days_offered(two_days(today, grams=100, arriving=20), 60) == {TOMORROW}
    assert days_offered(two_days(tomorrow, grams=100, arriving=20), 60) == {DAY, TOMORROW}
