"""A long visit does not start late in the day."""

from __future__ import annotations

from datetime import date

import pytest

from solver.errors import RuleError
from solver.rules import settings_in_force
from tests.builders import a_booking, a_day_book, a_placed, a_plan, a_setting, a_window
from tests.judging import findings_of, the_finding

CODE = "latest-start"


def started(start="13:15", minutes=365, *, settings=None, tags=()):
    visit = a_booking("one", start, minutes, tags=tags)
    rules = settings or (a_setting(CODE, longer=360, after="13:00"),)
    return a_day_book(visits=[visit], rules=rules), a_plan(a_placed(visit, start))


def test_a_long_visit_that_starts_late_is_told_with_its_length_and_the_latest_start():
    finding = the_finding(CODE, *started())
    assert finding.hard
    assert finding.visits == ("one",)
    assert "lasts 365 min and starts at 13:15 on Tuesday 1 December 2026" in finding.detail
    assert "more than 360 min starts by 13:00" in finding.detail
    assert finding.window == a_window("13:15", "19:20")


def test_a_start_at_the_very_time_is_not_late():
    assert findings_of(CODE, *started("13:00")) == ()


def test_a_visit_of_exactly_so_many_minutes_is_not_long():
    assert findings_of(CODE, *started("13:15", 360)) == ()


def test_a_visit_that_help_made_short_may_start_late():
    day_book, plan = started(minutes=400)
    (visit,) = plan.visits
    shorter = a_placed(a_booking("one", "13:15", 300), "13:15")
    assert len(findings_of(CODE, day_book, plan)) == 1
    assert findings_of(CODE, day_book, a_plan(shorter)) == ()
    assert visit.window.minutes == 400


def test_the_rule_concerns_only_visits_of_its_tags():
    settings = (a_setting(CODE, visit_tags=("child",)),)
    assert findings_of(CODE, *started(settings=settings)) == ()
    assert len(findings_of(CODE, *started(settings=settings, tags=("child",)))) == 1


def test_two_settings_with_labels_judge_each_by_its_own_figures():
    settings = (
        a_setting(CODE, label="long", longer=360, after="13:00"),
        a_setting(CODE, label="child", longer=60, after="15:00", visit_tags=("child",)),
    )
    short = findings_of(CODE, *started("15:15", 90, settings=settings, tags=("child",)))
    assert [finding.label for finding in short] == ["child"]
    both = findings_of(CODE, *started("15:15", 400, settings=settings, tags=("child",)))
    assert [finding.label for finding in both] == ["long", "child"]


def test_two_settings_without_labels_are_refused():
    with pytest.raises(RuleError) as refused:
        settings_in_force(a_day_book(rules=(a_setting(CODE), a_setting(CODE, after="12:00"))))
    assert [fault.pointer for fault in refused.value.faults] == ["/rules/1/label"]


def test_the_house_leaves_it_off():
    in_force = {setting.code for setting in settings_in_force(a_day_book(rules=None))}
    assert CODE not in in_force


@pytest.mark.parametrize("time", ["25:00", "9:00", "13:60", "noon", 780])
def test_a_time_that_is_none_is_refused(time):
    book = a_day_book(rules=())
    with pytest.raises((ValueError, RuleError), match="after"):
        settings_in_force(book.model_copy(update={"rules": (a_setting(CODE, after=time),)}))


def test_the_time_is_read_on_the_local_clock_in_summer_too():
    day = date(2026, 7, 1)
    visit = a_booking("one", "13:15", 400, day=day)
    book = a_day_book(
        visits=[visit], rules=(a_setting(CODE),), open=(a_window("9:00", "21:00", day),)
    )
    late = a_plan(a_placed(visit, "13:15", day=day))
    early = a_plan(a_placed(visit, "13:00", day=day))
    assert len(findings_of(CODE, book, late)) == 1
    assert findings_of(CODE, book, early) == ()


def test_a_soft_rule_costs_its_weight_once_for_each_visit():
    finding = the_finding(CODE, *started(settings=(a_setting(CODE, hard=False, weight=6),)))
    assert (finding.hard, finding.cost) == (False, 6)
