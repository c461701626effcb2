"""Openings under rules on breaks and hours: what is offered, the checker lets pass in the book."""

from __future__ import annotations

from datetime import timedelta

import pytest

from schemas.daybook import DayBook
from schemas.openings import Opening, OpeningsQuestion
from schemas.plan import BreakKind, Plan
from solver.checker import hard_findings
from solver.openings import complete_breaks, find_openings
from solver.openings.sale import hard_findings_of
from solver.rules.presets import PRESETS
from tests.builders import (
    DAY,
    a_booking,
    a_chair,
    a_day_book,
    a_lead,
    a_meal,
    a_phase,
    a_placed,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    a_window,
    an_assistant,
    at,
)

NEXT = DAY + timedelta(days=1)


def asked(book: DayBook, request, limit: int = 20) -> tuple[Opening, ...]:
    return find_openings(book, OpeningsQuestion(request=request, limit=limit)).openings


def in_the_book(book: DayBook, request, opening: Opening) -> tuple[DayBook, Plan]:
    """The whole book with the opening sold, its crew's breaks as offered, all others completed."""
    crew = {opening.visit.lead, *opening.visit.assistants}
    day = opening.visit.window.start.date()
    placed = tuple(each.placed for each in book.bookings if each.placed)
    stay = tuple(
        each for each in book.breaks if each.staff not in crew or each.window.start.date() != day
    )
    plan = Plan(visits=(*placed, opening.visit), breaks=(*stay, *opening.breaks))
    plan = plan.model_copy(update={"breaks": complete_breaks(book, plan)})
    return book.model_copy(update={"requests": (request,)}), plan


def placed_booking(name: str, start: str, minutes: int, day=DAY, **changes):
    booking = a_booking(name, start, minutes, day=day)
    return booking.model_copy(update={"placed": a_placed(booking, start, day=day, **changes)})


def a_studio(rules, *bookings, breaks=()) -> DayBook:
    staff = (a_lead(), an_assistant())
    return a_day_book(
        visits=bookings,
        staff=staff,
        chairs=(a_chair(), a_chair("chair-2")),
        open=(a_window("9:00", "20:00"), a_window("9:00", "20:00", NEXT)),
        shifts=tuple(
            a_shift(person.id, "9:00", "20:00", day) for person in staff for day in (DAY, NEXT)
        ),
        rules=rules,
        breaks=breaks,
    )


@pytest.mark.parametrize("preset", PRESETS, ids=lambda preset: preset.code)
@pytest.mark.parametrize("minutes", [90, 300])
def test_what_is_offered_under_a_law_keeps_it_in_the_whole_book(preset, minutes):
    book = a_studio(preset.settings, placed_booking("early", "9:30", 90))
    request = a_request(phases=(a_shared_phase(minutes),), windows=(a_window("9:00", "20:00"),))
    offered = asked(book, request)
    assert offered
    for opening in offered:
        assert hard_findings(*in_the_book(book, request, opening)) == ()
        assert hard_findings_of(book, request, opening) == ()


def test_the_rests_of_a_crew_move_round_a_new_visit():
    rules = (a_setting("rest-breaks"),)
    request = a_request(minutes=200, windows=(a_window("9:00", "20:00"),))
    starts = {each.start for each in asked(a_studio(rules), request)}
    assert starts
    for opening in asked(a_studio(rules), request):
        own = [each for each in opening.breaks if each.staff == "lead-1"]
        assert len([each for each in own if each.kind is BreakKind.REST]) == 3
        assert not any(each.window.overlaps(opening.visit.window) for each in own)


def test_a_rest_that_is_in_the_book_stays_where_it_is():
    rest = a_meal("10:00", "10:10", kind=BreakKind.REST)
    book = a_studio((a_setting("rest-breaks"),), breaks=(rest,))
    request = a_request(minutes=60, windows=(a_window("9:00", "12:00"),), max_assistants=0)
    offered = asked(book, request)
    assert offered
    for opening in offered:
        assert rest in opening.breaks
        assert not opening.visit.window.overlaps(rest.window)


def test_nothing_is_offered_that_makes_a_stretch_too_long():
    rule = a_setting("longest-stretch", minutes=240, pause=30)
    book = a_studio((rule,), placed_booking("early", "9:00", 180))
    request = a_request(minutes=120, windows=(a_window("9:00", "16:00"),), max_assistants=0)
    starts = {f"{each.start:%H:%M}" for each in asked(book, request)}
    assert "12:30" in starts
    assert not {"12:00", "12:15"} & starts


def test_nothing_is_offered_that_makes_a_day_too_long():
    rule = a_setting("daily-hours", minutes=240)
    book = a_studio((rule,), placed_booking("early", "9:00", 180))
    request = a_request(minutes=120, max_assistants=0, windows=(a_window("9:00", "20:00"),))
    assert asked(book, request) == ()
    assert asked(book, a_request(minutes=60, windows=(a_window("9:00", "20:00"),))) != ()


def test_nothing_is_offered_that_makes_a_week_too_long():
    rule = a_setting("weekly-hours", minutes=300)
    book = a_studio((rule,), placed_booking("early", "9:00", 180))
    windows = (a_window("9:00", "20:00", NEXT),)
    assert asked(book, a_request(minutes=150, windows=windows)) == ()
    assert asked(book, a_request(minutes=120, windows=windows)) != ()


def test_nothing_is_offered_too_soon_after_a_late_evening():
    rule = a_setting("rest-between-days", minutes=900)
    book = a_studio((rule,), placed_booking("late", "18:00", 60))
    windows = (a_window("9:00", "14:00", NEXT),)
    offered = asked(book, a_request(minutes=60, windows=windows))
    assert offered
    assert min(each.start for each in offered) == a_window("10:00", "11:00", NEXT).start


def test_an_offer_that_was_good_is_refused_once_the_week_is_full():
    rule = a_setting("weekly-hours", minutes=300)
    windows = (a_window("9:00", "20:00", NEXT),)
    request = a_request(minutes=200, windows=windows)
    opening = asked(a_studio((rule,)), request)[0]
    book = a_studio((rule,), placed_booking("early", "9:00", 180))
    (finding,) = hard_findings_of(book, request, opening)
    assert finding.rule == "weekly-hours"


@pytest.mark.parametrize("law", PRESETS, ids=lambda preset: preset.code)
def test_beside_overtime_that_stands_nothing_is_offered_that_the_checker_refuses(law):
    """Five hours on the rota and an hour of overtime: the shift owes what six hours owe."""
    late = a_booking("late", "13:00", phases=(a_phase(minutes=130, breakable=True),))
    late = late.model_copy(update={"placed": a_placed(late, "13:00")})
    overtime = a_setting("overtime", hard=False, minutes=70)
    for breaks in ((), (a_meal("12:00", "12:30"),), (a_meal("11:15", "12:00"),)):
        book = a_day_book(
            visits=[late],
            shifts=tuple(a_shift(who, "9:00", "14:00") for who in ("lead-1", "assistant-1")),
            chairs=(a_chair(), a_chair("chair-2")),
            rules=(*law.settings, overtime),
            breaks=breaks,
        )
        request = a_request(phases=(a_shared_phase(90),), windows=(a_window("9:00", "19:00"),))
        for opening in asked(book, request):
            assert not hard_findings_of(book, request, opening)
            assert opening.visit.window.end <= at("14:00")
