"""Several days in one book: what belongs to which, and what the merged tiers may claim."""

from __future__ import annotations

from datetime import date

import pytest

from schemas.plan import PlanResult, SolveStatus, Tier
from solver.days import part_days
from solver.plan import plan_days
from tests.builders import (
    a_booking,
    a_day_book,
    a_lead,
    a_request,
    a_shift,
    a_window,
    at,
)

TUESDAY, WEDNESDAY = date(2026, 12, 1), date(2026, 12, 2)
CLOCKS_GO_BACK = date(2026, 10, 25)


def two_days(*visits, **changes):
    facts = {
        "open": tuple(a_window("9:00", "14:00", day) for day in (TUESDAY, WEDNESDAY)),
        "staff": (a_lead(),),
        "shifts": tuple(a_shift("lead-1", "9:00", "14:00", day) for day in (TUESDAY, WEDNESDAY)),
    }
    return a_day_book(visits=visits, **{**facts, **changes})


def value(result: PlanResult) -> Tier:
    return result.tiers[0]


BOTH = (a_window("9:00", "14:00", TUESDAY), a_window("9:00", "14:00", WEDNESDAY))


def test_each_day_is_planned_and_the_tiers_add_up():
    result = plan_days(
        two_days(a_request("tue", 120, windows=BOTH[:1]), a_request("wed", 180, windows=BOTH[1:]))
    )
    assert result.status is SolveStatus.OPTIMAL
    assert {tier.name: (tier.value, tier.bound) for tier in result.tiers} == {
        "accepted-value": (300, 300),
        "preferences": (0, 0),
        "last-finish": (300, 300),
        "stay": (300, 300),
    }


def test_a_request_that_the_first_day_declines_is_offered_to_the_next():
    result = plan_days(
        two_days(a_request("one", 240, windows=BOTH), a_request("two", 240, windows=BOTH))
    )
    assert result.plan is not None
    days = {visit.visit: visit.window.start.date() for visit in result.plan.visits}
    assert sorted(days.values()) == [TUESDAY, WEDNESDAY]
    assert (value(result).value, value(result).bound) == (480, 480)


def test_the_bound_stays_true_where_another_split_is_better():
    # Tuesday takes the worthier `free`, which Wednesday could have had: `tue` is lost.
    result = plan_days(
        two_days(
            a_request("free", 240, windows=BOTH, value=50),
            a_request("tue", 240, windows=BOTH[:1], value=40),
        )
    )
    assert result.status is SolveStatus.FEASIBLE
    assert value(result).value <= 90 <= value(result).bound


def test_a_booking_belongs_to_the_day_of_its_promise():
    booking = a_booking("wed", "10:00", 120, day=WEDNESDAY, tolerance=1440)
    result = plan_days(two_days(booking))
    assert result.plan is not None
    assert result.plan.visits[0].window.start.date() == WEDNESDAY


def test_one_infeasible_day_makes_the_book_infeasible_and_says_which():
    result = plan_days(
        two_days(
            a_request("tue", 60, windows=BOTH[:1]),
            a_booking("a", "9:00", day=WEDNESDAY, client="Ana"),
            a_booking("b", "9:00", day=WEDNESDAY, client="Bea"),
        )
    )
    assert (result.status, result.plan) == (SolveStatus.INFEASIBLE, None)
    assert [set(finding.visits) for finding in result.findings] == [{"a", "b"}]
    assert "2026-12-02" in result.findings[0].detail


def test_openings_that_one_shift_bridges_are_one_day():
    book = a_day_book(
        open=(a_window("9:00", "12:00"), a_window("14:00", "18:00")),
        visits=[a_request(f"request-{n}", 150) for n in range(3)],
        staff=(a_lead(),),
    )
    assert len(part_days(book)) == 1
    result = plan_days(book)
    assert result.plan is not None
    windows = sorted((visit.window.start, visit.window.end) for visit in result.plan.visits)
    # One before noon and one after: nobody sits through the hours the salon is shut.
    assert len(windows) == 2
    assert windows[0][1] <= at("12:00")
    assert windows[1][0] >= at("14:00")


def test_a_shift_on_a_closed_day_still_gets_its_break():
    book = two_days(shifts=(a_shift("lead-1", "9:00", "18:00", date(2026, 12, 3)),), rules=None)
    result = plan_days(book)
    assert result.status is SolveStatus.OPTIMAL
    assert result.plan is not None
    assert [planned.window.start.date() for planned in result.plan.breaks] == [date(2026, 12, 3)]


def test_a_visit_over_a_clock_change_keeps_its_true_length():
    # In Lisbon the clock goes from 2:00 back to 1:00: from 0:00 to 4:00 are five hours.
    book = a_day_book(
        open=(a_window("0:00", "6:00", CLOCKS_GO_BACK),),
        visits=[a_booking(start="0:00", minutes=300, day=CLOCKS_GO_BACK)],
        staff=(a_lead(),),
        shifts=(a_shift("lead-1", "0:00", "6:00", CLOCKS_GO_BACK),),
    )
    result = plan_days(book)
    assert result.plan is not None
    window = result.plan.visits[0].window
    assert window.minutes == 300
    assert (window.start, window.end) == (at("0:00", CLOCKS_GO_BACK), at("4:00", CLOCKS_GO_BACK))


@pytest.mark.parametrize("seconds", [0.0, 0.01])
def test_no_time_at_all_is_said_and_not_guessed(seconds):
    result = plan_days(two_days(a_booking("a", "9:00", 60)), seconds=seconds)
    assert result.status in {SolveStatus.OUT_OF_TIME, SolveStatus.OPTIMAL, SolveStatus.FEASIBLE}
    assert (result.plan is None) == (result.status is SolveStatus.OUT_OF_TIME)
