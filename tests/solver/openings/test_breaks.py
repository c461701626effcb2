"""Every shift that owes a meal break gets one, and breaks given stay."""

from __future__ import annotations

import pytest

from schemas.plan import Plan
from solver.checker import hard_findings
from solver.openings import complete_breaks
from tests.builders import (
    a_booking,
    a_day_book,
    a_lead,
    a_meal,
    a_placed,
    a_setting,
    a_shift,
    a_window,
)
from tests.solver.openings.small_books import small

MEAL = a_setting("meal-break", after=360, minutes=30, earliest=120, latest=300)


def one_lead(**changes):
    return a_day_book(**{"staff": (a_lead(),), "rules": (MEAL,), **changes})


def test_a_free_day_gets_its_break_in_the_middle_of_what_the_rule_allows() -> None:
    assert complete_breaks(one_lead(), Plan()) == (a_meal("12:30", "13:00"),)


def test_a_break_goes_round_the_work_to_the_free_time_nearest_the_middle() -> None:
    booking = a_booking(start="11:30", minutes=105)
    plan = Plan(visits=(a_placed(booking, "11:30"),))
    assert complete_breaks(one_lead(visits=[booking]), plan) == (a_meal("13:15", "13:45"),)


def test_a_good_break_that_is_given_stays_the_only_one() -> None:
    given = (a_meal("13:50", "14:30"),)
    assert complete_breaks(one_lead(), Plan(breaks=given)) == given


def test_a_break_at_a_bad_time_stays_and_a_good_one_is_added() -> None:
    given = a_meal("9:30", "10:00")
    assert complete_breaks(one_lead(), Plan(breaks=(given,))) == (given, a_meal("12:30", "13:00"))


def test_a_shift_of_exactly_the_limit_gets_no_break() -> None:
    book = one_lead(shifts=(a_shift(start="9:00", end="15:00"),))
    assert complete_breaks(book, Plan()) == ()


def test_a_shift_without_room_gets_none_and_the_checker_says_so() -> None:
    booking = a_booking(start="9:00", minutes=540)
    book = one_lead(visits=[booking], open=(a_window("9:00", "19:00"),))
    plan = Plan(visits=(a_placed(booking, "9:00"),))
    assert complete_breaks(book, plan) == ()
    assert {finding.rule for finding in hard_findings(book, plan)} == {"meal-break"}


def test_without_the_rule_nothing_is_added() -> None:
    assert complete_breaks(one_lead(rules=()), Plan()) == ()


@pytest.mark.parametrize("seed", range(25))
def test_completing_never_adds_a_finding_and_twice_is_once(seed: int) -> None:
    book = small(seed).book
    visits = tuple(each.placed for each in book.bookings if each.placed)
    before = Plan(visits=visits, breaks=book.breaks)
    breaks = complete_breaks(book, before)
    after = before.model_copy(update={"breaks": breaks})
    assert {each.model_dump_json() for each in book.breaks} <= {
        each.model_dump_json() for each in breaks
    }
    left = {(f.rule, f.detail) for f in hard_findings(book, after)}
    assert left <= {(f.rule, f.detail) for f in hard_findings(book, before)}
    assert complete_breaks(book, after) == breaks
