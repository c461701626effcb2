"""The ceiling on accepted worth: never below the best plan, and often at it."""

from __future__ import annotations

import os

from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.daybook import DayBook
from schemas.work import Performer
from solver.days import part_days
from solver.model.build import build_day
from solver.model.ceiling import Ceiling, ceiling
from solver.model.search import Budget
from solver.plan import plan_days
from solver.rules import settings_in_force
from tests.benchmarks.salon_days import salon_days
from tests.builders import (
    HELP,
    a_chair,
    a_day_book,
    a_phase,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    a_window,
    an_assistant,
    skills,
)
from tests.solver.exhaustive import Exhaustive
from tests.solver.tiny_days import tiny_day

BOOKS = int(os.environ.get("PARTLINE_SMALL_BOOKS", "60"))


def the_ceiling(book: DayBook) -> Ceiling:
    (part,) = part_days(book)
    rules = settings_in_force(book)
    return ceiling(build_day(book, part.openings, part.shifts, part.visits, rules), Budget(20.0))


@settings(max_examples=BOOKS)
@given(st.integers(0, 1_000_000).map(tiny_day))
def test_no_plan_found_by_trying_everything_is_worth_more(book: DayBook) -> None:
    best = Exhaustive(book).best_value()
    if best is not None:
        assert best <= the_ceiling(book).worth


def test_two_installs_too_long_for_one_pair_of_hands_have_the_dearer_as_ceiling() -> None:
    visits = [a_request(f"request-{n}", minutes=300, value=200 + n) for n in range(2)]
    found = the_ceiling(a_day_book(visits=visits))
    assert found.worth == 201
    assert found.leads == {1: "lead-1"}


def test_help_that_there_is_not_enough_of_lowers_the_ceiling() -> None:
    # 600 minutes of braiding in a shift of 540 want 120 of help at 0.5; she is there for 60.
    visits = [
        a_request(f"request-{n}", phases=(a_shared_phase(300),), max_assistants=1, value=100)
        for n in range(2)
    ]
    helper = an_assistant(help_rate=0.5, skills=skills(HELP))
    book = a_day_book(visits=visits, rules=(a_setting("longest-wait", minutes=15),))
    staff = (*(each for each in book.staff if each.id != helper.id), helper)
    lead_shift = a_shift("lead-1", "9:00", "18:00")
    open_ = book.open

    def with_helper(until: str) -> DayBook:
        shifts = (lead_shift, a_shift(helper.id, "9:00", until))
        return book.model_copy(update={"staff": staff, "shifts": shifts, "open": open_})

    assert the_ceiling(with_helper("10:00")).worth == 100
    assert the_ceiling(with_helper("18:00")).worth == 200


def test_a_break_that_two_settings_of_a_rule_share_is_taken_off_once() -> None:
    # Ten hours less half an hour from twelve to one, which is good for both windows.
    windows = [
        a_setting("meal-window", label=label, minutes=30, opens=opens, closes=closes)
        for label, opens, closes in (("early", "11:00", "13:00"), ("late", "12:00", "14:00"))
    ]
    visits = [a_request("early", 240), a_request("late", 330)]
    shifts = (a_shift("lead-1", "8:00", "18:00"),)
    open_ = (a_window("8:00", "22:00"),)
    book = a_day_book(visits=visits, shifts=shifts, rules=tuple(windows), open=open_)
    assert the_ceiling(book).worth == 240 + 330


def test_a_phase_an_assistant_takes_over_counts_as_its_own_length_only() -> None:
    # 390 of braiding and 180 of hair prep are more than 540 alone; less so with 90 taken over.
    phases = (
        a_phase("hair-prep", 90, performer=Performer.CREW),
        a_phase(minutes=195),
    )
    visits = [a_request(f"request-{n}", phases=phases, max_assistants=1) for n in range(2)]
    chairs = (a_chair(), a_chair("chair-2"))
    rules = (a_setting("longest-wait", minutes=15),)
    book = a_day_book(visits=visits, rules=rules, chairs=chairs)
    alone = book.model_copy(update={"shifts": tuple(s for s in book.shifts if s.staff == "lead-1")})
    worth = 2 * (90 + 195)
    assert (the_ceiling(alone).worth, the_ceiling(book).worth) == (worth // 2, worth)


def test_a_plan_that_reaches_the_ceiling_is_proved_without_a_search() -> None:
    book = salon_days("S", 3)
    value = plan_days(book, seconds=20).tiers[0]
    assert value.value == value.bound == the_ceiling(book).worth
