"""What the front desk gets: ranked, different, with reasons; or the rules in the way."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from schemas.booking import Booking
from schemas.daybook import DayBook
from schemas.openings import OpeningsAnswer, OpeningsQuestion, Wish
from schemas.plan import Plan
from schemas.resources import Role
from schemas.work import Performer, Place
from solver.checker import hard_findings
from solver.errors import DayBookError
from solver.openings import BookIndex, complete_breaks, find_openings, hard_findings_of, sold
from tests.builders import (
    DAY,
    HELP,
    a_booking,
    a_chair,
    a_closure,
    a_day_book,
    a_lead,
    a_meal,
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

MEAL = a_setting("meal-break", after=360, minutes=30, earliest=120, latest=300, inside=1)
TURNAROUND = a_setting("turnaround", minutes=10)


def ask(book: DayBook, wish: Wish = Wish.SOONEST, limit: int = 3, **request: object):
    return find_openings(
        book, OpeningsQuestion(request=a_request(**request), wish=wish, limit=limit)
    )


def placed(visit_id: str, start: str, minutes: int, **where: object) -> Booking:
    booking = a_booking(visit_id, start, minutes)
    return booking.model_copy(update={"placed": a_placed(booking, start, **where)})


def week(**changes: object) -> DayBook:
    """Five days, two chairs, two leads and an assistant."""
    days = [DAY + timedelta(days=offset) for offset in range(5)]
    staff = (a_lead("lead-1"), a_lead("lead-2"), an_assistant())
    facts = {
        "open": tuple(a_window("9:00", "19:00", day) for day in days),
        "chairs": (a_chair("chair-1"), a_chair("chair-2")),
        "staff": staff,
        "shifts": tuple(a_shift(person.id, day=day) for person in staff for day in days),
        "rules": None,
    }
    return a_day_book(**{**facts, **changes})


WHOLE_WEEK = {
    "windows": (
        a_window("0:00", "24:00", DAY).model_copy(
            update={"end": a_window("0:00", "24:00", DAY + timedelta(days=4)).end}
        ),
    )
}


def rules_in_the_way(answer: OpeningsAnswer) -> dict[str, int]:
    assert answer.openings == ()
    return {obstacle.rule: obstacle.places for obstacle in answer.obstacles}


def test_an_empty_day_offers_the_first_arrival_with_everything_named() -> None:
    answer = ask(a_day_book(), limit=1, phases=(a_phase(minutes=240),))
    (opening,) = answer.openings
    assert (opening.start, opening.finish) == (at("9:00"), at("13:00"))
    assert (opening.chair, opening.lead, opening.assistant) == ("chair-1", "lead-1", None)
    assert answer.found == 21  # 9:00 to 14:00 by quarters: the lead goes home at 18:00


def test_help_is_placed_where_the_assistant_is_free() -> None:
    busy = placed("booking-1", "9:00", 120, lead="lead-2", chair="chair-2")
    phase = busy.placed.phases[0].model_copy(update={"performer": "assistant-1"})
    works = (a_phase("braiding", 120, performer=Performer.CREW, skill="finish"),)
    busy = busy.model_copy(
        update={
            "phases": works,
            "placed": busy.placed.model_copy(update={"phases": (phase,)}),
        }
    )
    book = a_day_book(
        visits=[busy],
        chairs=(a_chair("chair-1"), a_chair("chair-2")),
        staff=(a_lead("lead-1"), a_lead("lead-2", skills=()), an_assistant()),
    )
    answer = ask(
        book,
        Wish.SHORTEST,
        phases=(a_shared_phase(240),),
        windows=(a_window("9:00", "13:00"),),
    )
    opening = next(each for each in answer.openings if each.assistant)
    (help_,) = opening.visit.phases[0].help
    assert help_.window.start >= at("11:00")
    assert opening.visit.window.minutes == 240 - opening.help_minutes // 2


def test_a_long_install_takes_the_leads_break_inside() -> None:
    book = a_day_book(open=(a_window("9:00", "18:00"),), rules=(MEAL,))
    answer = ask(book, limit=1, phases=(a_shared_phase(480, help_skill="nobody-helps"),))
    (opening,) = answer.openings
    (meal,) = [each for each in opening.breaks if each.staff == "lead-1"]
    assert meal.inside == "request-1"
    assert opening.visit.window.minutes == 510
    assert any("inside this visit" in reason for reason in opening.reasons)


def test_a_break_between_duties_moves_and_the_answer_says_so() -> None:
    book = a_day_book(breaks=(a_meal("12:30", "13:00"),), rules=(MEAL,))
    answer = ask(book, limit=1, phases=(a_phase(minutes=300),))
    (opening,) = answer.openings
    (meal,) = opening.breaks
    assert opening.start == at("9:00")
    assert meal.window == a_window("14:00", "14:30")
    assert any(reason.startswith("Lead-1 eats from 14:00") for reason in opening.reasons)


def test_a_break_that_meets_no_new_work_stays_where_it_is() -> None:
    given = a_meal("11:05", "11:35")
    answer = ask(
        a_day_book(breaks=(given,), rules=(MEAL,)),
        limit=1,
        phases=(a_phase(minutes=240),),
        windows=(a_window("12:00", "18:00"),),
    )
    assert answer.openings[0].breaks == (given,)


def test_an_index_that_remembers_too_much_forgets_and_answers_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    index = BookIndex.of(week())
    question = OpeningsQuestion(request=a_request(phases=(a_shared_phase(240),)))
    first = find_openings(index.day_book, question, index=index)
    monkeypatch.setattr("solver.openings.index.MEMO_BYTES", 0)
    monkeypatch.setattr("solver.openings.index.TRIM_EVERY", 1)
    index.trim()
    assert not index.memo
    assert find_openings(index.day_book, question, index=index) == first


def test_the_crews_breaks_of_the_whole_day_come_with_an_opening() -> None:
    short = a_setting("meal-break", after=120, minutes=30, earliest=30, latest=180)
    evening = a_meal("16:30", "17:00")
    book = a_day_book(
        open=(a_window("9:00", "13:00"), a_window("15:00", "19:00")),
        staff=(a_lead(),),
        shifts=(a_shift(start="9:00", end="13:00"), a_shift(start="15:00", end="19:00")),
        breaks=(evening,),
        rules=(short,),
    )
    request = a_request(phases=(a_phase(minutes=120),), windows=(a_window("9:00", "13:00"),))
    (opening,) = find_openings(book, OpeningsQuestion(request=request, limit=1)).openings
    assert evening in opening.breaks
    assert len(opening.breaks) == 2
    assert hard_findings_of(book, request, opening) == ()


def test_a_second_good_break_of_a_shift_stays_where_it_is() -> None:
    meals = (a_meal("11:00", "11:30"), a_meal("13:00", "13:30"))
    book = a_day_book(breaks=meals, rules=(MEAL,))
    answer = ask(book, limit=50, phases=(a_phase(minutes=180),))
    for opening in answer.openings:
        assert meals[1] in opening.breaks
        assert not opening.visit.window.overlaps(meals[1].window)


def test_a_break_inside_a_placed_visit_does_not_move_whatever_its_label() -> None:
    booking = a_booking(phases=(a_shared_phase(120),))
    inside = a_placed(booking, "11:00", stretch=30)
    booking = a_booking(start="11:00", phases=(a_shared_phase(120),))
    booking = booking.model_copy(update={"placed": inside})
    book = a_day_book(
        visits=[booking],
        chairs=(a_chair("chair-1"), a_chair("chair-2")),
        breaks=(a_meal("12:00", "12:30", inside="booking-1"),),
        rules=(MEAL,),
    )
    answer = ask(book, limit=50, phases=(a_phase(minutes=120),))
    assert {opening.start for opening in answer.openings}.isdisjoint({at("10:00"), at("12:00")})
    assert all(book.breaks[0] in opening.breaks for opening in answer.openings)
    # The same break with its label lost is a lead who works in her break: the day is in trouble.
    unlabelled = book.model_copy(update={"breaks": (a_meal("12:00", "12:30"),)})
    assert "hands-one-client" in rules_in_the_way(ask(unlabelled, phases=(a_phase(minutes=60),)))


def test_three_openings_are_not_three_neighbours() -> None:
    answer = ask(week(), **WHOLE_WEEK, phases=(a_shared_phase(240),))
    kinds = {(each.start.date(), each.lead, each.assistant is None) for each in answer.openings}
    assert len(kinds) == 3
    assert len({each.start.date() for each in answer.openings}) > 1
    assert len({each.lead for each in answer.openings}) > 1


@pytest.mark.parametrize(
    ("wish", "best"),
    [
        (Wish.SOONEST, lambda each: each.start.date()),
        (Wish.EARLY_FINISH, lambda each: each.finish.time()),
        (Wish.SHORTEST, lambda each: each.visit.window.minutes),
    ],
)
def test_the_first_opening_is_what_the_client_wants_most(wish: Wish, best) -> None:
    answer = ask(week(), wish, 20, **WHOLE_WEEK, phases=(a_shared_phase(240),))
    assert best(answer.openings[0]) == min(best(each) for each in answer.openings)


def test_the_preferred_lead_comes_first_where_nothing_else_differs() -> None:
    answer = ask(week(), preferred_lead="lead-2", phases=(a_phase(minutes=240),))
    assert answer.openings[0].lead == "lead-2"
    assert "With Lead-2, as preferred." in answer.openings[0].reasons


def test_a_place_that_leaves_no_hole_comes_before_one_that_does() -> None:
    book = a_day_book(visits=[placed("booking-1", "13:00", 300)])
    answer = ask(book, limit=5, phases=(a_phase(minutes=210),))
    assert answer.openings[0].start in {at("9:00"), at("9:30")}
    costs = {opening.start: opening.cost for opening in answer.openings}
    holed = ask(book, limit=5, phases=(a_phase(minutes=210),), windows=(a_window("9:15", "12:45"),))
    assert holed.openings[0].cost > min(costs.values())
    assert any(
        "15 minutes on Chair 1" in r or "30 minutes on Chair 1" in r
        for r in holed.openings[0].reasons
    )


def test_the_only_lead_for_a_skill_is_kept_for_it() -> None:
    micro = a_booking("booking-1", "9:00", phases=(a_phase("micro", 60),))
    micro = micro.model_copy(
        update={"placed": a_placed(micro, "9:00", lead="lead-1", chair="chair-2")}
    )
    staff = (a_lead("lead-1", skills=skills("braiding", "micro")), a_lead("lead-2"))
    book = a_day_book(visits=[micro], staff=staff, chairs=(a_chair("chair-1"), a_chair("chair-2")))
    answer = ask(book, limit=5, phases=(a_phase(minutes=120),))
    assert answer.openings[0].lead == "lead-2"
    other = next(each for each in answer.openings if each.lead == "lead-1")
    assert any("only lead for micro" in reason for reason in other.reasons)


def test_the_same_question_gets_the_same_answer_to_the_letter() -> None:
    first = ask(week(), limit=10, **WHOLE_WEEK, phases=(a_wash(), a_shared_phase(240)))
    again = ask(week(), limit=10, **WHOLE_WEEK, phases=(a_wash(), a_shared_phase(240)))
    assert first.model_dump_json() == again.model_dump_json()
    assert len({opening.id for opening in first.openings}) == len(first.openings) == 10


def test_a_standing_index_answers_like_a_fresh_one() -> None:
    book = week()
    index = BookIndex.of(book)
    question = OpeningsQuestion(request=a_request(phases=(a_shared_phase(240),)), limit=5)
    for _ in range(2):
        assert find_openings(book, question, index=index) == find_openings(book, question)


def test_every_opening_can_be_sold_into_the_whole_book() -> None:
    book = week()
    for number in range(8):
        request = a_request(
            f"request-{number}", **WHOLE_WEEK, phases=(a_wash(), a_shared_phase(300))
        )
        answer = find_openings(book, OpeningsQuestion(request=request, limit=3))
        assert answer.openings
        opening = answer.openings[-1]
        assert hard_findings_of(book, request, opening) == ()
        booking = a_booking(
            request.id, f"{opening.start:%H:%M}", day=opening.start.date(), phases=request.phases
        ).model_copy(update={"placed": opening.visit})
        crew = {opening.lead, opening.assistant}
        stay = tuple(
            each
            for each in book.breaks
            if each.staff not in crew or each.window.start.date() != opening.start.date()
        )
        book = book.model_copy(
            update={
                "bookings": (*book.bookings, booking),
                "breaks": (*stay, *opening.breaks),
            }
        )
        plan = Plan(visits=tuple(each.placed for each in book.bookings), breaks=book.breaks)
        plan = plan.model_copy(update={"breaks": complete_breaks(book, plan)})
        assert hard_findings(book, plan) == ()


def test_an_opening_that_was_sold_meanwhile_has_findings() -> None:
    book = a_day_book()
    request = a_request(phases=(a_phase(minutes=240),))
    (opening,) = find_openings(book, OpeningsQuestion(request=request, limit=1)).openings
    taken = book.model_copy(update={"bookings": (placed("booking-1", "10:00", 240),)})
    rules = {finding.rule for finding in hard_findings_of(taken, request, opening)}
    assert {"chair-one-client", "hands-one-client"} <= rules
    day, plan = sold(book, request, opening)
    assert hard_findings(day, plan) == ()


def test_a_visit_over_the_clock_change_keeps_its_true_length() -> None:
    autumn = date(2026, 10, 25)
    book = a_day_book(
        open=(a_window("0:00", "6:00", autumn),),
        shifts=(a_shift(start="0:00", end="6:00", day=autumn),),
    )
    answer = ask(
        book, limit=1, phases=(a_phase(minutes=180),), windows=(a_window("0:00", "4:00", autumn),)
    )
    (opening,) = answer.openings
    assert (f"{opening.start:%H:%M}", f"{opening.finish:%H:%M}") == ("00:00", "02:00")
    assert opening.visit.window.minutes == 180


def test_a_visit_of_hands_alone_takes_no_chair() -> None:
    answer = ask(a_day_book(chairs=()), phases=(a_phase("hair-prep", 60, place=Place.NOWHERE),))
    assert answer.openings[0].chair is None


def test_a_request_that_has_a_place_already_is_refused() -> None:
    book = a_day_book(visits=[placed("request-1", "9:00", 60)])
    with pytest.raises(DayBookError) as refused:
        ask(book)
    assert refused.value.faults[0].pointer == "/request/id"


def test_a_day_with_a_hard_finding_is_not_sold_and_the_rule_is_named() -> None:
    double = [placed("a", "9:00", 60), placed("b", "9:30", 60)]
    names = rules_in_the_way(ask(a_day_book(visits=double), phases=(a_phase(minutes=60),)))
    assert "chair-one-client" in names


@pytest.mark.parametrize(
    ("rule", "book", "request_"),
    [
        ("opening-hours", {}, {"phases": (a_phase(minutes=660),)}),
        ("client-window", {}, {"windows": (a_window("9:00", "12:00"),)}),
        ("skilled-hands", {}, {"phases": (a_phase("micro", 60),)}),
        ("skilled-hands", {}, {"refused_leads": ("lead-1",)}),
        ("within-shift", {"shifts": (a_shift(end="12:00"),)}, {}),
        ("within-shift", {"shifts": (a_shift("assistant-1"),)}, {}),
        (
            "hands-one-client",
            {
                "visits": [placed("b", "11:00", 300, chair="chair-2")],
                "chairs": (a_chair("chair-1"), a_chair("chair-2")),
            },
            {},
        ),
        ("meal-break", {"rules": (MEAL,)}, {"phases": (a_phase(minutes=510),)}),
        ("basin-one-client", {"basins": ()}, {"phases": (a_wash(), a_phase(minutes=60))}),
        ("fitting-chair", {}, {"chair_features": ("step-free",)}),
        ("fitting-chair", {"closures": (a_closure("11:00", "17:00"),)}, {}),
        (
            "chair-one-client",
            {
                "visits": [placed("b", "11:00", 300, lead="lead-2")],
                "staff": (a_lead(), a_lead("lead-2", skills=(), roles=(Role.LEAD,))),
            },
            {},
        ),
        (
            "turnaround",
            {
                "visits": [placed("b", "13:05", 290, lead="lead-2")],
                "staff": (a_lead(), a_lead("lead-2", skills=(), roles=(Role.LEAD,))),
                "rules": (TURNAROUND,),
            },
            {},
        ),
        (
            "preferred-lead",
            {
                "rules": (a_setting("preferred-lead"),),
                "staff": (a_lead(), a_lead("lead-2", skills=skills("finish"))),
            },
            {"preferred_lead": "lead-2"},
        ),
        (
            "preferred-time",
            {"rules": (a_setting("preferred-time"),)},
            {"preferred": a_window("16:00", "17:00")},
        ),
    ],
)
def test_the_rule_in_the_way_is_named_with_the_places_it_closed(
    rule: str, book: dict, request_: dict
) -> None:
    answer = ask(a_day_book(**book), **request_)
    in_the_way = rules_in_the_way(answer)
    assert in_the_way[rule] > 0
    assert all(obstacle.sentence for obstacle in answer.obstacles)


def test_the_places_closed_add_up_to_all_there_were() -> None:
    book = a_day_book(
        visits=[placed("b", "11:00", 300)], staff=(a_lead(), a_lead("lead-2", skills=()))
    )
    answer = ask(book)
    # Two leads and the arrivals of one day, by quarters from midnight to the last shift or closing.
    assert sum(rules_in_the_way(answer).values()) == 2 * 19 * 4


def test_an_assistant_who_shortens_the_work_makes_room() -> None:
    window = {"windows": (a_window("9:00", "12:00"),)}
    alone = ask(a_day_book(), **window, phases=(a_shared_phase(240),), max_assistants=0)
    helped = ask(a_day_book(), **window, phases=(a_shared_phase(240, help_skill=HELP),))
    assert alone.found == 0
    assert helped.openings[0].assistant == "assistant-1"
