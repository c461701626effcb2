"""Sick people and broken chairs, at the edges of phases too."""

from __future__ import annotations

import pytest

from schemas.plan import SolveStatus
from schemas.repair import BrokenChair, PromisePart, SickPerson, WhatChanged
from schemas.work import Performer
from solver.errors import DayBookError
from solver.repair import agreed, repair
from tests.builders import (
    a_chair,
    a_help,
    a_lead,
    a_meal,
    a_phase,
    a_plan,
    a_planned_phase,
    a_setting,
    a_window,
    an_assistant,
    at,
)
from tests.solver.repair.running_days import (
    KIM,
    LEA,
    MIA,
    a_book,
    ana,
    bea,
    changed,
    mended,
    placed,
    shared,
    tiers,
    visit_of,
)


def a_running_install(**changes):
    """Ana braided by Lea from 9 to 13 on chair one."""
    one = ana()
    return a_book(one, **changes), a_plan(placed(one, "9:00"))


def test_a_lead_who_falls_sick_hands_over_and_what_is_done_counts():
    book, plan = a_running_install()
    result = mended(book, plan, "11:00", SickPerson(staff=LEA, start=at("11:00")))
    visit = visit_of(result, "ana")
    assert visit.lead == MIA
    assert [(p.performer, p.window) for p in visit.phases] == [
        (LEA, a_window("9:00", "11:00")),
        (MIA, a_window("11:00", "13:00")),
    ]
    assert visit.chair == "one"
    assert result.renegotiate == ()
    lead = changed(result, WhatChanged.LEAD)
    assert lead.say == "Ana goes on with Mia; Lea cannot."
    assert [person.name for person in lead.tell] == ["Ana", "Mia"]


def test_a_slower_lead_takes_longer_for_what_is_left():
    book, plan = a_running_install(
        staff=(a_lead(LEA, name="Lea"), a_lead(MIA, name="Mia", pace=1.5))
    )
    result = mended(book, plan, "11:00", SickPerson(staff=LEA, start=at("11:00")))
    assert visit_of(result, "ana").window.end == at("14:00")
    finish = changed(result, WhatChanged.FINISH)
    assert (finish.before, finish.after) == ("13:00", "14:00")


def test_a_promised_lead_who_falls_sick_must_be_talked_about():
    one = ana(lead=LEA)
    result = mended(
        a_book(one),
        a_plan(placed(one, "9:00")),
        "10:00",
        SickPerson(staff=LEA, start=at("10:00")),
    )
    (owed,) = result.renegotiate
    assert (owed.visit, owed.broken) == ("ana", (PromisePart.LEAD,))
    assert owed.proposed is not None
    assert owed.proposed.lead == MIA


@pytest.mark.parametrize(
    ("now", "split"),
    [("9:00", None), ("9:04", None), ("9:05", "9:05"), ("12:55", "12:55"), ("13:00", None)],
    ids=["at its start", "within the first step", "after it", "one step left", "at its end"],
)
def test_a_running_phase_is_cut_at_the_last_step_before(now, split):
    book, plan = a_running_install()
    event = SickPerson(staff=LEA, start=at(now))
    result = repair(book, plan, [event], at(now), seconds=20.0)
    phases = visit_of(result, "ana").phases
    if split is None:
        assert len(phases) == 1
        assert phases[0].performer == (LEA if now == "13:00" else MIA)
    else:
        assert next(phase.window.end for phase in phases) == at(split)
        assert [phase.performer for phase in phases] == [LEA, MIA]


def test_help_already_given_is_credited_when_the_assistant_falls_sick():
    one = ana(**shared(240))
    helped = a_planned_phase("9:00", "11:40", performer=LEA, help_=(a_help("9:00", "11:40", KIM),))
    plan = a_plan(placed(one, "9:00", phases=(helped,)))
    # An hour of help saved half an hour of Lea's work.
    result = mended(a_book(one), plan, "10:00", SickPerson(staff=KIM, start=at("10:00")))
    visit = visit_of(result, "ana")
    assert visit.window == a_window("9:00", "12:30")
    assert visit.phases[0].help[0].window == a_window("9:00", "10:00")


def test_help_that_would_begin_at_that_minute_falls_away():
    one = ana(**shared(240))
    helped = a_planned_phase("9:00", "12:00", performer=LEA, help_=(a_help("10:00", "12:00", KIM),))
    plan = a_plan(placed(one, "9:00", phases=(helped,)))
    result = mended(a_book(one), plan, "10:00", SickPerson(staff=KIM, start=at("10:00")))
    assert visit_of(result, "ana").phases[0].help == ()
    assert visit_of(result, "ana").window.end == at("13:00")


def test_a_help_that_runs_is_credited_to_the_lead_who_leaves_too():
    one = ana(**shared(240))
    helped = a_planned_phase("9:00", "11:40", performer=LEA, help_=(a_help("9:00", "11:40", KIM),))
    plan = a_plan(placed(one, "9:00", phases=(helped,)))
    result = mended(a_book(one), plan, "11:00", SickPerson(staff=LEA, start=at("11:00")))
    visit = visit_of(result, "ana")
    done, rest = (phase for phase in visit.phases)
    # Two hours of both are three hours of work: one hour is left.
    assert done.window == a_window("9:00", "11:00")
    assert done.help[0].window == a_window("9:00", "11:00")
    helped_minutes = sum(help_.window.minutes for help_ in rest.help)
    assert rest.window.minutes + helped_minutes / 2 == 60


def test_a_break_taken_before_she_left_still_stretches_what_she_did():
    one = ana(phases=(a_phase(minutes=240, breakable=True),))
    book = a_book(one, rules=(a_setting("meal-break"),))
    meals = (a_meal("11:00", "11:30", LEA, inside="ana"), a_meal("12:00", "12:30", MIA),
             a_meal("12:00", "12:30", KIM))  # fmt: skip
    plan = a_plan(placed(one, "9:00", stretch=30), breaks=meals)
    result = mended(book, plan, "12:00", SickPerson(staff=LEA, start=at("12:00")))
    done, rest = visit_of(result, "ana").phases
    assert done.window == a_window("9:00", "12:00")
    # Half an hour of the three was her break: an hour and a half are left.
    assert rest.window.minutes == 90


def test_a_break_she_was_in_when_she_left_is_no_work_done():
    one = ana(phases=(a_phase(minutes=240, breakable=True),))
    book = a_book(one, rules=(a_setting("meal-break"),))
    meals = (a_meal("11:00", "11:30", LEA, inside="ana"), a_meal("13:00", "13:30", MIA),
             a_meal("12:00", "12:30", KIM))  # fmt: skip
    plan = a_plan(placed(one, "9:00", stretch=30), breaks=meals)
    event = SickPerson(staff=LEA, start=at("11:10"))
    result = repair(book, plan, [event], at("11:10"), seconds=20.0)
    assert visit_of(result, "ana").phases[0].window == a_window("9:00", "11:10")
    (booking,) = result.day_book.bookings
    assert [work.minutes for work in booking.phases] == [120, 120]


def test_visits_to_come_go_to_somebody_else():
    one, two = ana(), bea()
    book = a_book(one, two)
    plan = a_plan(placed(one, "9:00", MIA, "two"), placed(two, "13:00"))
    result = mended(book, plan, "9:30", SickPerson(staff=LEA, start=at("9:30")))
    assert visit_of(result, "ana") == plan.visits[0]
    assert visit_of(result, "bea").lead == MIA
    assert result.renegotiate == ()
    assert {person.id for each in result.differences for person in each.tell} == {"bea", LEA, MIA}


def test_what_nobody_else_can_do_has_no_place_and_is_said_to_the_client():
    one = bea()
    book = a_book(one, staff=(a_lead(LEA, name="Lea"), an_assistant(KIM, name="Kim")))
    plan = a_plan(placed(one, "13:00"))
    result = mended(book, plan, "10:00", SickPerson(staff=LEA, start=at("10:00")))
    assert result.plan is not None
    assert result.plan.visits == ()
    (owed,) = result.renegotiate
    assert (owed.broken, owed.proposed) == ((PromisePart.PLACE,), None)
    assert changed(result, WhatChanged.LEFT_OUT).visit == "bea"


def test_an_install_that_nobody_can_go_on_with_stops_and_its_rest_is_owed():
    book, plan = a_running_install(staff=(a_lead(LEA, name="Lea"), an_assistant(KIM, name="Kim")))
    result = mended(book, plan, "11:00", SickPerson(staff=LEA, start=at("11:00")))
    assert visit_of(result, "ana").window == a_window("9:00", "11:00")
    (owed,) = result.renegotiate
    assert (owed.visit, owed.client, owed.broken) == ("ana-rest", "Ana", (PromisePart.PLACE,))
    assert "cannot be finished today" in changed(result, WhatChanged.LEFT_OUT).say


def test_an_install_stops_where_the_only_other_lead_is_never_free():
    one, two = ana(), bea("9:00", 540)
    plan = a_plan(placed(one, "9:00"), placed(two, "9:00", MIA, "two"))
    result = mended(a_book(one, two), plan, "11:00", SickPerson(staff=LEA, start=at("11:00")))
    assert visit_of(result, "bea") == plan.visits[1]
    assert [owed.visit for owed in result.renegotiate] == ["ana-rest"]


def test_a_lead_may_leave_later_than_now():
    book, plan = a_running_install()
    result = mended(book, plan, "9:30", SickPerson(staff=LEA, start=at("12:00")))
    assert [(p.performer, p.window.end) for p in visit_of(result, "ana").phases] == [
        (LEA, at("12:00")),
        (MIA, at("13:00")),
    ]


def test_somebody_who_is_back_in_the_afternoon_works_again():
    two = bea("15:00", 120, lead=LEA)
    plan = a_plan(placed(two, "15:00"))
    event = SickPerson(staff=LEA, start=at("10:00"), until=at("14:00"))
    result = mended(a_book(two), plan, "10:00", event)
    assert visit_of(result, "bea") == plan.visits[0]
    hers = [shift.window for shift in result.day_book.shifts if shift.staff == LEA]
    assert hers == [a_window("9:00", "10:00"), a_window("14:00", "18:00")]


def test_a_client_in_a_broken_chair_moves_to_another_and_goes_on_at_once():
    book, plan = a_running_install()
    result = mended(book, plan, "11:00", BrokenChair(chair="one", start=at("11:00")))
    done, rest = visit_of(result, "ana"), visit_of(result, "ana-rest")
    assert (done.chair, done.window) == ("one", a_window("9:00", "11:00"))
    assert (rest.chair, rest.lead, rest.window) == ("two", LEA, a_window("11:00", "13:00"))
    assert result.renegotiate == ()
    chair = changed(result, WhatChanged.CHAIR)
    assert chair.say == "Ana sits in Two instead of One from 11:00."
    assert tiers(result)["broken-promises"] == 0


@pytest.mark.parametrize("now", ["9:00", "13:00"], ids=["at its start", "at its end"])
def test_a_chair_that_breaks_at_the_edge_of_a_visit_cuts_nothing(now):
    book, plan = a_running_install()
    result = mended(book, plan, now, BrokenChair(chair="one", start=at(now)))
    assert result.plan is not None
    (visit,) = result.plan.visits
    assert visit.chair == ("two" if now == "9:00" else "one")
    assert visit.window == a_window("9:00", "13:00")


def test_with_no_other_chair_the_rest_is_owed():
    book, plan = a_running_install(chairs=(a_chair("one"),))
    result = mended(book, plan, "11:00", BrokenChair(chair="one", start=at("11:00")))
    assert [(owed.visit, owed.broken) for owed in result.renegotiate] == [
        ("ana-rest", (PromisePart.PLACE,))
    ]


def test_with_no_other_chair_she_goes_on_once_it_is_mended():
    book, plan = a_running_install(chairs=(a_chair("one"),))
    event = BrokenChair(chair="one", start=at("11:00"), until=at("11:30"))
    result = mended(book, plan, "11:00", event)
    assert visit_of(result, "ana-rest").window == a_window("11:30", "13:30")
    (owed,) = result.renegotiate
    assert owed.broken == (PromisePart.START,)


def test_visits_to_come_move_to_another_chair_without_a_word_to_the_client():
    two = bea()
    plan = a_plan(placed(two, "13:00"))
    result = mended(a_book(two), plan, "10:00", BrokenChair(chair="one", start=at("10:00")))
    assert visit_of(result, "bea").chair == "two"
    assert visit_of(result, "bea").window == plan.visits[0].window
    assert tiers(result)["people-told"] == 0


def test_a_repaired_day_can_be_repaired_again():
    book, plan = a_running_install()
    first = mended(book, plan, "10:00", BrokenChair(chair="one", start=at("10:00")))
    assert first.plan is not None
    event = SickPerson(staff=LEA, start=at("11:00"))
    second = mended(agreed(first), first.plan, "11:00", event)
    rest = visit_of(second, "ana-rest")
    assert [phase.performer for phase in rest.phases] == [LEA, MIA]
    assert rest.window == a_window("10:00", "13:00")


def test_several_events_at_once_are_worked_in_together():
    one, two = ana(), bea()
    plan = a_plan(placed(one, "9:00"), placed(two, "13:00", MIA, "two"))
    result = mended(
        a_book(one, two),
        plan,
        "11:00",
        SickPerson(staff=LEA, start=at("11:00")),
        BrokenChair(chair="one", start=at("11:00")),
    )
    assert visit_of(result, "ana-rest").lead == MIA
    assert visit_of(result, "ana-rest").chair == "two"
    assert result.status is SolveStatus.OPTIMAL


def test_a_finished_visit_keeps_its_lead_and_her_phases():
    one, two = ana("9:00", 60), bea()
    plan = a_plan(placed(one, "9:00"), placed(two, "13:00"))
    result = mended(a_book(one, two), plan, "12:00", SickPerson(staff=LEA, start=at("12:00")))
    assert visit_of(result, "ana") == plan.visits[0]
    (work,) = next(b for b in result.day_book.bookings if b.id == "ana").phases
    assert work.performer is Performer.LEAD


@pytest.mark.parametrize(
    ("event", "pointer"),
    [
        (SickPerson(staff="nobody", start=at("10:00")), "/events/0/staff"),
        (SickPerson(staff=LEA, start=at("10:00"), until=at("10:00")), "/events/0/until"),
        (BrokenChair(chair="nowhere", start=at("10:00")), "/events/0/chair"),
    ],
    ids=["staff", "until", "chair"],
)
def test_an_event_of_nobody_is_refused_with_its_field(event, pointer):
    book, plan = a_running_install()
    with pytest.raises(DayBookError) as refused:
        repair(book, plan, [event], at("10:00"))
    assert [fault.pointer for fault in refused.value.faults] == [pointer]


def test_one_meal_that_two_rules_count_is_not_asked_for_twice():
    rules = (a_setting("meal-break"), a_setting("meal-window", closes="14:00"))
    one, two = ana("9:00", 180), bea("15:00", 120)
    book = a_book(one, two, rules=rules, staff=(a_lead(LEA, name="Lea"),))
    plan = a_plan(
        placed(one, "9:00"), placed(two, "15:00"), breaks=(a_meal("12:00", "12:30", LEA),)
    )
    result = mended(book, plan, "11:00", BrokenChair(chair="one", start=at("14:00")))
    assert result.plan is not None
    assert result.plan.breaks == plan.breaks
    later = mended(book, plan, "14:00", BrokenChair(chair="one", start=at("14:00")))
    assert later.plan is not None
    assert later.plan.breaks == plan.breaks


def test_a_second_meal_is_still_asked_for_beside_the_first():
    rules = (a_setting("meal-break"), a_setting("second-meal", after=420))
    one, two = ana("9:00", 180), bea("16:00", 120)
    book = a_book(one, two, rules=rules, staff=(a_lead(LEA, name="Lea"),))
    meals = (a_meal("12:00", "12:30", LEA), a_meal("15:00", "15:30", LEA))
    plan = a_plan(placed(one, "9:00"), placed(two, "16:00"), breaks=meals)
    result = mended(book, plan, "13:00", BrokenChair(chair="one", start=at("14:00")))
    assert result.plan is not None
    assert sorted(rest.window.start for rest in result.plan.breaks) == [at("12:00"), at("15:00")]
