"""A booking that has a place keeps its start, chair, lead and assistants."""

from __future__ import annotations

import pytest

from solver.errors import RuleError
from solver.rules import settings_in_force
from tests.builders import (
    a_booking,
    a_chair,
    a_day_book,
    a_help,
    a_lead,
    a_placed,
    a_plan,
    a_planned_phase,
    a_setting,
    a_shared_phase,
    an_assistant,
)
from tests.judging import findings_of, the_finding

CODE = "fewest-changes"
SOFT = a_setting(CODE, hard=False, weight=5)


def laid(start="9:00", end="10:30", *, lead="lead-1", chair="chair-1", helper="assistant-1"):
    visit = a_booking("one", phases=(a_shared_phase(120),))
    help_ = (a_help(start, end, helper),) if helper else ()
    phase = a_planned_phase(start, end, performer=lead, help_=help_)
    return a_placed(visit, lead=lead, chair=chair, phases=[phase])


def changed(setting=SOFT, **facts):
    booking = a_booking("one", tolerance=600, phases=(a_shared_phase(120),), placed=laid())
    book = a_day_book(
        visits=[booking],
        chairs=(a_chair(), a_chair("chair-2")),
        staff=(a_lead(), a_lead("lead-2"), an_assistant(), an_assistant("assistant-2")),
        rules=(setting,),
    )
    return book, a_plan(laid(**facts))


def test_a_booking_left_as_it_was_draws_nothing():
    assert findings_of(CODE, *changed()) == ()


@pytest.mark.parametrize(
    ("facts", "told"),
    [
        ({"start": "9:15", "end": "10:45"}, "09:15 instead of 09:00 on Tuesday"),
        ({"chair": "chair-2"}, "Chair 2 instead of Chair 1"),
        ({"lead": "lead-2"}, "Lead-2 instead of Lead-1"),
        ({"helper": "assistant-2"}, "Assistant-2 to assist instead of Assistant-1"),
        ({"helper": None}, "nobody to assist instead of Assistant-1"),
    ],
)
def test_one_change_costs_once_and_is_told_with_before_and_after(facts, told):
    finding = the_finding(CODE, *changed(**facts))
    assert (finding.hard, finding.cost) == (False, 5)
    assert told in finding.detail


def test_four_changes_cost_each_what_it_counts():
    facts = {"start": "10:00", "end": "11:30", "chair": "chair-2", "lead": "lead-2"}
    assert the_finding(CODE, *changed(**facts, helper="assistant-2")).cost == 20
    counted = a_setting(CODE, hard=False, weight=2, start=5, chair=0, lead=3, assistants=1)
    assert the_finding(CODE, *changed(counted, **facts, helper="assistant-2")).cost == 18


def test_a_change_that_counts_nothing_is_not_told():
    counted = a_setting(CODE, hard=False, chair=0)
    assert findings_of(CODE, *changed(counted, chair="chair-2")) == ()


def test_another_length_is_no_change():
    assert findings_of(CODE, *changed(end="10:45")) == ()


def test_a_booking_without_a_place_has_nothing_to_keep():
    book, plan = changed(chair="chair-2")
    (booking,) = book.bookings
    unplaced = booking.model_copy(update={"placed": None})
    assert findings_of(CODE, book.model_copy(update={"bookings": (unplaced,)}), plan) == ()


def test_the_rule_concerns_only_visits_of_its_tags():
    setting = a_setting(CODE, hard=False, visit_tags=("bridal",))
    assert findings_of(CODE, *changed(setting, chair="chair-2")) == ()


def test_it_is_a_wish_and_cannot_be_hard():
    with pytest.raises(RuleError, match="it can only be soft") as refused:
        settings_in_force(a_day_book(rules=(a_setting(CODE),)))
    assert [fault.pointer for fault in refused.value.faults] == ["/rules/0/hard"]
