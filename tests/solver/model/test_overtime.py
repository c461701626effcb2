"""Overtime in the model: taken where it pays, no more than it must be, and lawful."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.booking import Promise
from schemas.daybook import DayBook, Grid
from schemas.plan import PlanResult, SolveStatus
from solver.checker import hard_findings
from solver.plan import plan_days
from solver.rules.presets import PRESETS
from tests.builders import (
    a_booking,
    a_day_book,
    a_lead,
    a_phase,
    a_request,
    a_setting,
    a_shift,
    a_window,
    an_assistant,
    at,
)

EVENING = {"open": (a_window("9:00", "21:00"),), "staff": (a_lead(),)}


def overtime(minutes=30, weight=1, **scope):
    return a_setting("overtime", hard=False, weight=weight, minutes=minutes, **scope)


def an_afternoon(*rules, minutes=180, shift="18:00", **changes) -> DayBook:
    """A lead until six, and a client who can come from 15:30 on."""
    request = a_request(minutes=minutes, windows=(a_window("15:30", "21:00"),))
    facts = {**EVENING, "shifts": (a_shift("lead-1", "9:00", shift),), **changes}
    return a_day_book(visits=[request], rules=rules, **facts)


def bent(result: PlanResult) -> list[tuple[str, int]]:
    assert result.status is SolveStatus.OPTIMAL
    found = [(finding.rule, finding.cost) for finding in result.findings]
    preferences = next(tier for tier in result.tiers if tier.name == "preferences")
    assert preferences.value == preferences.bound == sum(cost for _, cost in found)
    return found


def declined(result: PlanResult) -> tuple[str, ...]:
    assert result.plan is not None
    return result.plan.declined


def test_without_the_rule_a_client_who_needs_overtime_is_declined():
    assert declined(plan_days(an_afternoon())) == ("request-1",)


@pytest.mark.parametrize(("minutes", "fits"), [(25, False), (30, True)])
def test_overtime_accepts_who_else_would_be_declined_and_says_so(minutes, fits):
    result = plan_days(an_afternoon(overtime(minutes, weight=2)))
    assert (declined(result) == ()) is fits
    assert bent(result) == ([("overtime", 60)] if fits else [])


def test_no_more_overtime_is_worked_than_the_day_needs():
    early = a_booking("early", "9:00", 120, tolerance=240)
    book = an_afternoon(overtime(120, weight=5), minutes=150)
    book = book.model_copy(update={"bookings": (early,)})
    assert bent(plan_days(book)) == []


def test_a_promise_may_be_kept_in_overtime():
    visits = [a_booking("late", "17:00", 90)]
    book = a_day_book(visits=visits, rules=(overtime(30),), **EVENING)
    assert bent(plan_days(book)) == [("overtime", 30)]
    without = book.model_copy(update={"rules": ()})
    assert plan_days(without).status is SolveStatus.INFEASIBLE


def test_minutes_off_the_grid_are_counted_from_the_true_end_of_the_shift():
    shift = a_shift("lead-1", "9:00", "17:50")
    grid = Grid(minutes=15, arrivals=15)
    book = an_afternoon(overtime(40), shifts=(shift,), grid=grid)
    assert bent(plan_days(book)) == [("overtime", 40)]


def test_each_person_has_the_overtime_of_her_tag():
    settings_ = (overtime(60, staff_tags=("late",)).model_copy(update={"label": "late"}),)
    assert declined(plan_days(an_afternoon(*settings_))) == ("request-1",)
    staff = (a_lead(tags=("late",)),)
    assert declined(plan_days(an_afternoon(*settings_, staff=staff))) == ()


def test_overtime_ends_at_closing_and_where_the_next_shift_begins():
    closing = an_afternoon(overtime(60), open=(a_window("9:00", "18:15"),))
    assert declined(plan_days(closing)) == ("request-1",)
    shifts = (a_shift("lead-1", "9:00", "18:00"), a_shift("lead-1", "18:15", "18:20"))
    assert declined(plan_days(an_afternoon(overtime(60), shifts=shifts))) == ("request-1",)


def a_short_shift(*rules, breakable=False) -> DayBook:
    """Six hours, and work that fills them and half an hour more."""
    phases = (a_phase(minutes=390, breakable=breakable),)
    request = a_request(phases=phases, windows=(a_window("12:00", "21:00"),))
    shifts = (a_shift("lead-1", "12:00", "18:00"),)
    return a_day_book(visits=[request], shifts=shifts, rules=rules, **EVENING)


def test_overtime_that_asks_for_a_meal_is_worked_only_where_the_meal_has_a_place():
    meal = a_setting("meal-break", after=360, minutes=30, earliest=60, latest=300)
    assert declined(plan_days(a_short_shift(meal, overtime(60)))) == ("request-1",)
    inside = plan_days(a_short_shift(meal, overtime(60), breakable=True))
    assert bent(inside) == [("overtime", 60)]
    assert inside.plan is not None
    (rest,) = inside.plan.breaks
    assert rest.inside == "request-1"


def test_a_shift_that_stays_short_gets_no_meal():
    meal = a_setting("meal-break", after=360, minutes=30, earliest=60, latest=300)
    request = a_request(minutes=360, windows=(a_window("12:00", "18:00"),))
    shifts = (a_shift("lead-1", "12:00", "18:00"),)
    book = a_day_book(visits=[request], shifts=shifts, rules=(meal, overtime(60)), **EVENING)
    result = plan_days(book)
    assert (bent(result), declined(result)) == ([], ())


def test_a_soft_meal_that_overtime_asks_for_costs_beside_it():
    meal = a_setting("meal-break", hard=False, weight=7, after=360, minutes=30)
    result = plan_days(a_short_shift(meal, overtime(60)))
    assert sorted(bent(result)) == [("meal-break", 7), ("overtime", 30)]


def test_a_plan_with_overtime_stands_when_it_is_on_the_book():
    """California's rests move with the length of the shift, so they hang on the overtime."""
    law = next(each.settings for each in PRESETS if each.code.startswith("california"))
    request = a_request(minutes=165, windows=(a_window("15:30", "21:00"),))
    facts = {**EVENING, "shifts": (a_shift("lead-1", "13:00", "18:00"),)}
    book = a_day_book(visits=[request], rules=(*law, overtime(45)), **facts)
    first = plan_days(book)
    assert first.plan is not None
    (placed,) = first.plan.visits
    assert placed.window.end > at("18:00")
    kept = a_booking("request-1", phases=request.phases, placed=placed)
    kept = kept.model_copy(update={"promise": Promise(start=placed.window.start)})
    update = {"requests": (), "bookings": (kept,), "breaks": first.plan.breaks}
    again = plan_days(book.model_copy(update=update), stop=lambda: True)
    assert again.plan is not None
    assert again.plan.visits == first.plan.visits


@pytest.mark.parametrize("law", PRESETS, ids=lambda law: law.code)
@settings(max_examples=6)
@given(data=st.data())
def test_a_plan_with_overtime_is_lawful_under_each_law(law, data):
    """Plans are judged before they leave; here the days lie at the edges of the laws."""
    ends = data.draw(st.sampled_from(("14:00", "15:00", "15:30", "18:00", "19:00", "21:00")))
    hard = data.draw(st.booleans())
    rules = tuple(each.model_copy(update={"hard": hard, "weight": 9}) for each in law.settings)
    staff = (a_lead(), an_assistant())
    lengths = data.draw(st.lists(st.sampled_from((60, 150, 240)), min_size=1, max_size=3))
    requests = [
        a_request(
            f"request-{number}",
            phases=(a_phase(minutes=minutes, breakable=True),),
            windows=(a_window("9:00", "22:30"),),
        )
        for number, minutes in enumerate(lengths)
    ]
    book = a_day_book(
        visits=requests,
        staff=staff,
        open=(a_window("9:00", "22:30"),),
        shifts=tuple(a_shift(person.id, "9:00", ends) for person in staff),
        rules=(*rules, overtime(data.draw(st.sampled_from((15, 60, 90))))),
        grid=Grid(minutes=15, arrivals=15),
    )
    result = plan_days(book, seconds=5)
    assert result.plan is not None
    assert hard_findings(book, result.plan) == ()
