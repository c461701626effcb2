"""A chair is cleaned between two clients."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.builders import (
    DAY,
    a_booking,
    a_chair,
    a_day_book,
    a_lead,
    a_placed,
    a_plan,
    a_setting,
    a_window,
)
from tests.judging import findings_of, the_finding

CODE = "turnaround"


def pair(second="11:10", *, chair="chair-1", chairs=("chair-1", "chair-2"), setting=None, tags=()):
    one, two = a_booking("one", "9:00", 120), a_booking("two", second, 60)
    facts = a_day_book(
        visits=[one, two],
        chairs=tuple(a_chair(name, tags=tags) for name in chairs),
        staff=(a_lead(), a_lead("lead-2")),
        rules=(setting or a_setting(CODE),),
    )
    plan = a_plan(a_placed(one, "9:00"), a_placed(two, second, lead="lead-2", chair=chair))
    return facts, plan


def test_exactly_the_minutes_of_cleaning_are_enough():
    assert findings_of(CODE, *pair("11:10")) == ()


@pytest.mark.parametrize(("second", "gap"), [("11:05", 5), ("11:00", 0)])
def test_less_is_told_with_the_gap_and_the_earliest_start(second, gap):
    finding = the_finding(CODE, *pair(second))
    assert finding.visits == ("one", "two")
    assert f"has {gap} min between One, who leaves at 11:00, and Two" in finding.detail
    assert finding.remedy.startswith("Start Two at 11:10")
    assert finding.window == a_window("11:00", "11:10")


def test_another_chair_needs_no_wait():
    assert findings_of(CODE, *pair("11:00", chair="chair-2")) == ()


def test_clients_who_overlap_are_another_rules_affair():
    assert findings_of(CODE, *pair("10:30")) == ()


def test_no_minutes_ask_for_nothing():
    assert findings_of(CODE, *pair("11:00", setting=a_setting(CODE, minutes=0))) == ()


def test_the_rule_concerns_only_chairs_of_its_tags():
    setting = a_setting(CODE, chair_tags=("colour",))
    assert findings_of(CODE, *pair("11:00", setting=setting)) == ()
    assert len(findings_of(CODE, *pair("11:00", setting=setting, tags=("colour",)))) == 1


def test_a_soft_rule_costs_its_weight_once_for_each_pair():
    finding = the_finding(CODE, *pair("11:00", setting=a_setting(CODE, hard=False, weight=4)))
    assert (finding.hard, finding.cost) == (False, 4)


def test_the_next_morning_is_long_enough_after():
    tomorrow = DAY + timedelta(days=1)
    one, two = a_booking("one", "18:00", 60), a_booking("two", "9:00", 60, day=tomorrow)
    facts = a_day_book(visits=[one, two], rules=(a_setting(CODE),))
    plan = a_plan(a_placed(one, "18:00"), a_placed(two, "9:00", day=tomorrow))
    assert findings_of(CODE, facts, plan) == ()
