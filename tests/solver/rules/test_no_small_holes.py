"""A chair in use is left free for long enough to sell, or not at all."""

from __future__ import annotations

import pytest

from tests.builders import (
    a_booking,
    a_chair,
    a_closure,
    a_day_book,
    a_placed,
    a_plan,
    a_setting,
    a_window,
)
from tests.judging import findings_of, the_finding

CODE = "no-small-holes"
SOFT = a_setting(CODE, hard=False, weight=3, minutes=90, spare=15)


def seated(*spans, setting=SOFT, chairs=("chair-1",), **facts):
    """Visits (start, minutes) on the first chair of a salon that is open from 9 to 19."""
    visits = [a_booking(f"v{n}", start, minutes) for n, (start, minutes) in enumerate(spans)]
    book = a_day_book(
        **{
            "visits": visits,
            "chairs": tuple(a_chair(name) for name in chairs),
            "rules": (setting,),
            **facts,
        }
    )
    placed = [a_placed(visit, start) for visit, (start, _) in zip(visits, spans, strict=True)]
    return book, a_plan(*placed)


def test_a_small_hole_between_two_visits_is_told_with_the_time_and_both_clients():
    finding = the_finding(CODE, *seated(("9:00", 180), ("13:00", 360)))
    assert (finding.cost, finding.visits) == (3, ("v0", "v1"))
    assert finding.detail.startswith("Chair 1 is free for 60 min beside V0 and V1, 12:00 to 13:00")
    assert finding.window == a_window("12:00", "13:00")


@pytest.mark.parametrize(
    ("second", "holes"), [("12:15", 0), ("12:20", 1), ("13:25", 1), ("13:30", 0)]
)
def test_exactly_the_spare_and_exactly_what_can_be_sold_are_no_hole(second, holes):
    last = {"12:15": 405, "12:20": 400, "13:25": 335, "13:30": 330}[second]
    assert len(findings_of(CODE, *seated(("9:00", 180), (second, last)))) == holes


def test_the_time_to_closing_and_from_opening_is_a_hole_too():
    found = findings_of(CODE, *seated(("10:00", 480)))
    assert [finding.window for finding in found] == [
        a_window("9:00", "10:00"),
        a_window("18:00", "19:00"),
    ]


def test_a_chair_that_nobody_uses_has_no_hole():
    short = (a_window("9:00", "10:00"), a_window("12:00", "19:00"))
    book, plan = seated(("12:00", 420), chairs=("chair-1", "chair-2"), open=short)
    assert findings_of(CODE, book, plan) == ()


def test_what_a_closure_takes_is_not_free():
    closures = (a_closure("12:00", "12:50"),)
    assert findings_of(CODE, *seated(("9:00", 180), ("13:00", 360), closures=closures)) == ()
    # Off the grid a closure takes whole steps: 12:02 to 12:41 are 12:00 to 12:45.
    closures = (a_closure("12:02", "12:41"),)
    assert findings_of(CODE, *seated(("9:00", 180), ("13:00", 360), closures=closures)) == ()
    closures = (a_closure("12:02", "12:39"),)
    finding = the_finding(CODE, *seated(("9:00", 180), ("13:00", 360), closures=closures))
    assert finding.window == a_window("12:40", "13:00")


def test_the_rule_concerns_only_chairs_of_its_tags():
    setting = a_setting(CODE, hard=False, chair_tags=("window",))
    assert findings_of(CODE, *seated(("9:00", 180), ("13:00", 360), setting=setting)) == ()


def test_a_spare_as_long_as_what_can_be_sold_leaves_no_hole_at_all():
    setting = a_setting(CODE, hard=False, minutes=60, spare=60)
    assert findings_of(CODE, *seated(("9:30", 180), ("13:00", 300), setting=setting)) == ()
