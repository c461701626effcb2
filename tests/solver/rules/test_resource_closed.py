"""Basins or chairs are closed at some hours of the week."""

from __future__ import annotations

from datetime import date

import pytest

from solver.errors import RuleError
from solver.rules import settings_in_force
from tests.builders import (
    a_booking,
    a_chair,
    a_day_book,
    a_phase,
    a_placed,
    a_plan,
    a_setting,
    a_wash,
    a_window,
)
from tests.judging import findings_of, the_finding

CODE = "resource-closed"
TUESDAY = 2


def at_the_basin(start="10:00", *, setting=None, day=None, **facts):
    """A visit of half an hour at the basin and an hour of braiding, on a Tuesday."""
    visit = a_booking("one", start, phases=(a_wash(30), a_phase(minutes=60)), **facts)
    setting = setting or a_setting(CODE, weekday=TUESDAY, since="10:30", until="12:00")
    book = a_day_book(visits=[visit], rules=(setting,), chairs=(a_chair(tags=("front",)),))
    return book, a_plan(a_placed(visit, start))


@pytest.mark.parametrize(
    ("start", "breaches"),
    [("10:00", 0), ("10:05", 1), ("11:55", 1), ("12:00", 0)],
)
def test_work_that_only_touches_the_closed_hours_is_none(start, breaches):
    assert len(findings_of(CODE, *at_the_basin(start))) == breaches


def test_the_breach_is_told_with_the_basin_and_the_hours():
    finding = the_finding(CODE, *at_the_basin("10:15"))
    assert finding.visits == ("one",)
    assert "One is at Basin 1 10:15 to 10:45 on Tuesday" in finding.detail
    assert "it is closed Tuesday from 10:30 to 12:00" in finding.detail
    assert finding.window == a_window("10:30", "10:45")
    assert "start at 12:00 or later" in finding.remedy


def test_another_weekday_is_open_and_0_is_every_day():
    monday = a_setting(CODE, weekday=1, since="10:30", until="12:00")
    assert findings_of(CODE, *at_the_basin("10:15", setting=monday)) == ()
    daily = a_setting(CODE, weekday=0, since="10:30", until="12:00")
    assert len(findings_of(CODE, *at_the_basin("10:15", setting=daily))) == 1


def test_a_chair_is_taken_for_the_whole_visit():
    chairs = a_setting(CODE, what="chairs", weekday=TUESDAY, since="11:15", until="24:00")
    assert len(findings_of(CODE, *at_the_basin("10:00", setting=chairs))) == 1
    assert findings_of(CODE, *at_the_basin("9:45", setting=chairs)) == ()


def test_only_chairs_of_the_tags_are_closed():
    front, back = (
        a_setting(CODE, what="chairs", weekday=TUESDAY, since="10:30", chair_tags=(tag,))
        for tag in ("front", "back")
    )
    assert len(findings_of(CODE, *at_the_basin(setting=front))) == 1
    assert findings_of(CODE, *at_the_basin(setting=back)) == ()


def test_the_hours_are_read_on_the_local_clock_after_the_clock_change_too():
    day = date(2026, 7, 7)
    visit = a_booking("one", "11:45", phases=(a_wash(30),), day=day)
    setting = a_setting(CODE, weekday=TUESDAY, since="00:00", until="12:00")
    book = a_day_book(visits=[visit], rules=(setting,), open=(a_window("9:00", "19:00", day),))
    assert len(findings_of(CODE, book, a_plan(a_placed(visit, "11:45", day=day)))) == 1
    assert findings_of(CODE, book, a_plan(a_placed(visit, "12:00", day=day))) == ()


def test_a_soft_rule_costs_its_weight_once_for_each_phase():
    soft = a_setting(CODE, hard=False, weight=4, weekday=TUESDAY, since="09:00", until="18:00")
    assert the_finding(CODE, *at_the_basin(setting=soft)).cost == 4


@pytest.mark.parametrize(
    ("figures", "pointer"),
    [
        ({"weekday": 8}, "/rules/0/parameters/weekday"),
        ({"what": "dryers"}, "/rules/0/parameters/what"),
        ({"since": "12:00", "until": "12:00"}, "/rules/0/parameters"),
    ],
)
def test_figures_that_make_no_sense_are_refused(figures, pointer):
    with pytest.raises(RuleError) as refused:
        settings_in_force(a_day_book(rules=(a_setting(CODE, **figures),)))
    assert [fault.pointer for fault in refused.value.faults] == [pointer]
