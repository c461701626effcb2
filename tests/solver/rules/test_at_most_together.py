"""Only so many clients of a kind are in the salon at one time."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.builders import DAY, a_booking, a_day_book, a_placed, a_plan, a_setting, a_window
from tests.judging import findings_of, the_finding

CODE = "at-most-together"


def stays(*spans, setting=None, tags=("child",)):
    """Visits given as (start, minutes), each on a chair of her own."""
    visits = [
        a_booking(f"v{number}", start, minutes, tags=tags)
        for number, (start, minutes) in enumerate(spans)
    ]
    setting = setting or a_setting(CODE, visits=2, visit_tags=("child",))
    placed = [a_placed(visit, start) for visit, (start, _) in zip(visits, spans, strict=True)]
    return a_day_book(visits=visits, rules=(setting,)), a_plan(*placed)


THREE = (("9:00", 120), ("9:30", 60), ("10:00", 60))


def test_one_too_many_is_told_with_names_and_the_time_they_share():
    finding = the_finding(CODE, *stays(*THREE))
    assert finding.visits == ("v0", "v1", "v2")
    assert finding.detail.startswith("3 clients (child) are there at one time, 10:00 to 10:30")
    assert "V0, V1, V2; at most 2 may be" in finding.detail
    assert finding.window == a_window("10:00", "10:30")


def test_exactly_so_many_are_allowed():
    assert findings_of(CODE, *stays(("9:00", 120), ("9:30", 60))) == ()


def test_who_leaves_when_another_comes_is_not_there_with_her():
    assert findings_of(CODE, *stays(("9:00", 120), ("9:30", 60), ("10:30", 60))) == ()


def test_only_visits_of_the_kind_are_counted():
    assert findings_of(CODE, *stays(*THREE, tags=())) == ()
    everybody = a_setting(CODE, visits=2)
    assert len(findings_of(CODE, *stays(*THREE, tags=(), setting=everybody))) == 1


@pytest.mark.parametrize(("visits", "cost"), [(3, None), (2, 5), (1, 10), (0, 15)])
def test_a_soft_rule_costs_its_weight_for_each_client_too_many_at_the_fullest_moment(visits, cost):
    setting = a_setting(CODE, hard=False, weight=5, visits=visits)
    found = findings_of(CODE, *stays(*THREE, ("14:00", 60), setting=setting))
    assert [finding.cost for finding in found] == ([] if cost is None else [cost])


def test_each_day_is_told_by_itself():
    tomorrow = DAY + timedelta(days=1)
    visits = [a_booking(f"v{n}", day=day) for n, day in enumerate((DAY, DAY, tomorrow, tomorrow))]
    days = [DAY, DAY, tomorrow, tomorrow]
    plan = a_plan(*(a_placed(v, day=day) for v, day in zip(visits, days, strict=True)))
    book = a_day_book(visits=visits, rules=(a_setting(CODE, visits=1),))
    assert [finding.visits for finding in findings_of(CODE, book, plan)] == [
        ("v0", "v1"),
        ("v2", "v3"),
    ]


def test_many_names_are_counted():
    setting = a_setting(CODE, visits=2)
    finding = the_finding(CODE, *stays(*[("9:00", 60)] * 8, setting=setting))
    assert "V4 and 3 more; at most 2" in finding.detail
    assert finding.remedy == "Move 6 of them to another time."
