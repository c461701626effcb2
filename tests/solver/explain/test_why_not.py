"""Why not: reasons that are each needed, and changes that each do."""

from __future__ import annotations

from datetime import date

import pytest

from schemas.explanations import ChangeKind, Explanation, Fit
from schemas.plan import Plan
from solver.checker import hard_findings
from solver.errors import DayBookError
from solver.explain import why_not
from solver.explain.case import Case
from solver.explain.causes import causes
from solver.model.search import Budget
from tests.builders import (
    DAY,
    a_booking,
    a_chair,
    a_closure,
    a_day_book,
    a_lead,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    a_window,
    an_assistant,
    at,
)

NEXT_DAY = date(2026, 12, 2)


def asked(book, name="nia", seconds=20.0) -> Explanation:
    return why_not(book, name, seconds=seconds)


def rules(answer: Explanation) -> list[str]:
    (day,) = answer.days
    return [reason.rule for reason in day.reasons]


def kinds(answer: Explanation) -> set[ChangeKind]:
    return {change.kind for change in answer.changes}


def the_change(answer: Explanation, kind: ChangeKind):
    return next(change for change in answer.changes if change.kind is kind)


def a_nia(minutes=240, **changes):
    return a_request("nia", minutes, client="Nia", **changes)


def an_ana(start="9:00", minutes=240, **changes):
    return a_booking("ana", start, minutes, client="Ana", **changes)


def test_a_request_that_fits_gets_its_place():
    answer = asked(a_day_book(visits=[an_ana(), a_nia()]))
    assert answer.fit is Fit.FITS
    assert answer.placed is not None
    assert answer.placed.window.start == at("13:00")
    assert answer.days == answer.changes == ()


def test_the_reasons_name_the_promise_the_hands_and_the_hours():
    answer = asked(a_day_book(visits=[an_ana("11:00"), a_nia()], staff=(a_lead(),)))
    assert answer.fit is Fit.DOES_NOT_FIT
    (day,) = answer.days
    assert day.minimal
    assert day.promises_hold
    assert {"promise-kept", "work-done", "within-shift"} <= set(rules(answer))
    promise = next(reason for reason in day.reasons if reason.rule == "promise-kept")
    assert promise.visits == ("ana",)
    assert "Ana is promised 11:00 on Tuesday 1 December 2026" in promise.detail


def test_one_chair_is_in_the_way_only_where_hands_are_not():
    two_leads = (a_lead(), a_lead("lead-2"))
    book = a_day_book(visits=[an_ana("9:00", 540), a_nia(540)], staff=two_leads)
    answer = asked(book)
    assert "chair-one-client" in rules(answer)
    assert "hands-one-client" not in rules(answer)
    chair = the_change(answer, ChangeKind.EXTRA_CHAIR)
    assert chair.placed.chair == chair.chair == "extra-chair"


def test_leaving_out_any_one_reason_lets_the_request_in():
    book = a_day_book(
        visits=[an_ana("10:00", 300), a_nia(300, phases=(a_shared_phase(300),))], rules=None
    )
    (day,) = asked(book).days
    case = Case(book)
    blamed = {(reason.rule, reason.detail) for reason in day.reasons}
    kept = [cause for cause in causes(case) if (cause.rule, cause.detail) in blamed]
    others = [cause for cause in causes(case) if (cause.rule, cause.detail) not in blamed]
    relaxed = case
    for cause in others:
        relaxed = Case(cause.without(relaxed.book))
    assert relaxed.placed(Budget(5)).impossible
    for cause in kept:
        assert Case(cause.without(relaxed.book)).placed(Budget(5)).placement is not None


@pytest.mark.parametrize("as_booked", [False, True], ids=["arranged anew", "as booked"])
def test_nothing_is_in_the_way_once_every_rule_is_left_out(as_booked):
    """A fact behind no rule would be told under another rule's name."""
    closed = a_closure("9:00", "19:00")
    book = a_day_book(
        visits=[an_ana("10:00", 300), a_nia(600, chair_features=("quiet",), refused_leads=("x",))],
        rules=None,
        closures=(closed,),
        shifts=(a_shift("assistant-1"),),
    )
    case = Case(book, as_booked)
    for cause in causes(case):
        if cause.rule != "promise-kept":
            case = case.with_book(cause.without(case.book))
    assert case.placed(Budget(5)).placement is not None


def test_fifteen_minutes_of_overtime_are_found_where_they_do():
    book = a_day_book(visits=[an_ana("9:00", 240), a_nia(315)], staff=(a_lead(),))
    change = the_change(asked(book), ChangeKind.OVERTIME)
    assert (change.minutes, change.staff) == (15, "lead-1")
    assert change.window == a_window("18:00", "18:15")
    assert change.placed.window.end == at("18:15")


def test_thirty_minutes_of_overtime_where_fifteen_do_not():
    book = a_day_book(visits=[an_ana("9:00", 240), a_nia(320)], staff=(a_lead(),))
    assert the_change(asked(book), ChangeKind.OVERTIME).minutes == 30


def test_overtime_past_closing_keeps_the_salon_open_and_the_client_in():
    book = a_day_book(
        visits=[an_ana("9:00", 360), a_nia(255, windows=(a_window("9:00", "19:00"),))],
        staff=(a_lead(),),
        shifts=(a_shift(end="19:00"),),
    )
    change = the_change(asked(book), ChangeKind.OVERTIME)
    assert (change.minutes, change.placed.window.end) == (15, at("19:15"))


def test_an_assistant_is_called_in_for_as_long_as_it_takes():
    phases = (a_shared_phase(300),)
    book = a_day_book(
        visits=[an_ana("9:00", 300), a_nia(phases=phases)],
        staff=(a_lead(), an_assistant("kim", name="Kim")),
        shifts=(a_shift("lead-1"),),
    )
    # Four hours are left for five hours of work: two hours of help at half a lead's rate.
    change = the_change(asked(book), ChangeKind.CALL_IN)
    assert (change.minutes, change.staff) == (120, "kim")
    assert change.placed.assistants == ("kim",)
    assert "Kim helps for 120 min" in change.sentence


def test_a_client_may_agree_to_one_assistant_more():
    phases = (a_shared_phase(300),)
    book = a_day_book(visits=[an_ana("9:00", 300), a_nia(phases=phases, max_assistants=0)])
    change = the_change(asked(book), ChangeKind.MORE_HANDS)
    assert change.placed.assistants == ("assistant-1",)


def test_another_lead_is_offered_to_a_client_who_asked_for_one():
    book = a_day_book(
        visits=[an_ana(minutes=420, lead="lead-1"), a_nia(required_lead="lead-1")],
        staff=(a_lead(name="Lea"), a_lead("lead-2", name="Mia")),
        chairs=(a_chair("one"), a_chair("two")),
    )
    answer = asked(book)
    assert "Nia wants Lea and no other lead." in [r.detail for r in answer.days[0].reasons]
    assert the_change(answer, ChangeKind.OTHER_LEAD).placed.lead == "lead-2"


def test_another_time_of_the_day_and_another_day_are_offered():
    morning = (a_window("9:00", "13:00"),)
    book = a_day_book(
        visits=[an_ana(), a_nia(windows=morning)],
        open=(a_window("9:00", "19:00"), a_window("9:00", "19:00", NEXT_DAY)),
        shifts=(a_shift(), a_shift(day=NEXT_DAY)),
    )
    answer = asked(book)
    assert the_change(answer, ChangeKind.OTHER_TIME).placed.window.start == at("13:00")
    assert the_change(answer, ChangeKind.OTHER_DAY).placed.window.start.date() == NEXT_DAY
    assert "client-window" in rules(answer)


def test_a_closed_chair_that_is_ready_after_all_makes_room():
    book = a_day_book(visits=[a_nia()], closures=(a_closure("10:00", "18:00"),))
    answer = asked(book)
    assert "fitting-chair" in rules(answer)
    assert the_change(answer, ChangeKind.CHAIR_FREED).chair == "chair-1"


def test_a_promise_that_moves_half_an_hour_makes_room():
    book = a_day_book(visits=[an_ana("9:30", 240), a_nia(300)], staff=(a_lead(),))
    change = the_change(asked(book), ChangeKind.MOVED_PROMISE)
    assert (change.minutes, change.visit) == (30, "ana")


def test_a_house_rule_in_the_way_is_named_with_its_figures():
    work = (a_shared_phase(30, shared=False, help_skill=None), *a_request(minutes=200).phases)
    book = a_day_book(
        visits=[a_nia(phases=work)],
        staff=(a_lead(),),
        shifts=(a_shift(end="13:00"),),
        rules=(a_setting("meal-break", after=120, minutes=60, earliest=30, latest=60, inside=0),),
    )
    answer = asked(book)
    reason = next(r for r in answer.days[0].reasons if r.rule == "meal-break")
    assert "minutes 60" in reason.detail


def test_a_day_whose_promises_cannot_hold_is_said_to_be_so():
    book = a_day_book(visits=[an_ana(), a_booking("bea"), a_nia()], staff=(a_lead(),))
    assert [day.promises_hold for day in asked(book).days] == [False]


def test_changes_come_cheapest_first_and_each_place_keeps_the_rules_that_stayed():
    book = a_day_book(
        visits=[an_ana("9:00", 240), a_nia(320)],
        staff=(a_lead(), a_lead("lead-2")),
        shifts=(a_shift(),),
        chairs=(a_chair("one"), a_chair("two")),
    )
    answer = asked(book)
    costs = [change.cost for change in answer.changes]
    assert costs == sorted(costs)
    assert len(costs) > 1
    for change in answer.changes:
        # In an empty book with that place nothing is wrong with the place itself but its change.
        alone = book.model_copy(update={"bookings": ()})
        found = hard_findings(alone, Plan(visits=(change.placed,)))
        allowed = {"within-shift", "fitting-chair", "opening-hours", "client-window"}
        assert {finding.rule for finding in found} <= allowed


def test_a_request_nobody_knows_is_refused():
    with pytest.raises(DayBookError, match="there is no request nobody"):
        asked(a_day_book(visits=[a_nia()]), "nobody")


def test_days_that_suit_the_client_are_explained_one_by_one():
    book = a_day_book(
        visits=[
            an_ana(minutes=540),
            a_booking("bea", "9:00", 540, day=NEXT_DAY),
            a_nia(windows=(a_window("9:00", "18:00"), a_window("9:00", "18:00", NEXT_DAY))),
        ],
        open=(a_window("9:00", "18:00"), a_window("9:00", "18:00", NEXT_DAY)),
        shifts=(a_shift(), a_shift(day=NEXT_DAY)),
        staff=(a_lead(),),
    )
    answer = asked(book)
    assert [day.date for day in answer.days] == [DAY, NEXT_DAY]
    assert [{v for r in day.reasons for v in r.visits if v != "nia"} for day in answer.days] == [
        {"ana"},
        {"bea"},
    ]
