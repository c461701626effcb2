"""Nobody works too long on end. General information: check your local code."""

from __future__ import annotations

import pytest

from tests.builders import a_lead, a_setting, a_window
from tests.solver.rules.hour_books import a_break, a_rest, work_judged

CODE = "longest-stretch"
ONTARIO = {"minutes": 300, "pause": 30}
GERMANY = {"minutes": 360, "pause": 15}


@pytest.mark.parametrize(
    ("figures", "spans", "lawful"),
    [
        pytest.param(ONTARIO, [(0, 300)], True, id="ON s. 20: 5h00 consecutive"),
        pytest.param(ONTARIO, [(0, 301)], False, id="ON s. 20: 5h01 consecutive"),
        pytest.param(ONTARIO, [(0, 300), (330, 630)], True, id="ON s. 20: 30 min between"),
        pytest.param(ONTARIO, [(0, 300), (329, 630)], False, id="ON s. 20: 29 min between"),
        pytest.param(GERMANY, [(0, 360)], True, id="DE s. 4: 6h00 on end"),
        pytest.param(GERMANY, [(0, 361)], False, id="DE s. 4: 6h01 without break"),
        pytest.param(GERMANY, [(0, 180), (195, 540)], True, id="DE s. 4: a part of 15"),
        pytest.param(GERMANY, [(0, 180), (194, 540)], False, id="DE s. 4: a part of 14 is none"),
    ],
)
def test_the_rule_agrees_with_the_worked_examples_of_the_laws(figures, spans, lawful):
    assert (work_judged(CODE, spans, **figures) == ()) is lawful


def test_a_short_gap_counts_in_the_stretch_it_lies_in():
    (finding,) = work_judged(CODE, [(0, 180), (200, 320)])
    assert "works 5 h 20 min on end, 09:00 to 14:20" in finding.detail
    assert finding.window == a_window("9:00", "14:20")
    assert finding.staff == ("lead-1",)
    assert "start at 14:00" in finding.remedy


def test_a_meal_inside_an_install_ends_the_stretch():
    meal = a_break(240, 30, inside="client-0")
    assert work_judged(CODE, [(0, 480)], [meal]) == ()
    assert len(work_judged(CODE, [(0, 480)])) == 1


def test_a_rest_of_ten_minutes_inside_does_not_end_it():
    rest = a_rest(240, 10, inside="client-0")
    assert len(work_judged(CODE, [(0, 310)], [rest])) == 1
    assert work_judged(CODE, [(0, 310)], [rest], pause=10) == ()


def test_a_break_said_to_lie_inside_another_visit_does_not_end_it():
    meal = a_break(240, 30, inside="client-9")
    assert len(work_judged(CODE, [(0, 480)], [meal])) == 1


def test_a_day_is_told_once_with_its_longest_stretch():
    (finding,) = work_judged(CODE, [(0, 310), (340, 700)])
    assert finding.window == a_window("14:40", "20:40")


def test_two_days_are_told_each():
    assert len(work_judged(CODE, [(0, 310), (0, 310, 1)])) == 2


def test_the_rule_concerns_only_the_tags_it_names():
    setting = a_setting(CODE, staff_tags=("minor",))
    assert work_judged(CODE, [(0, 400)], setting=setting) == ()
    assert len(work_judged(CODE, [(0, 400)], setting=setting, lead=a_lead(tags=("minor",)))) == 1
