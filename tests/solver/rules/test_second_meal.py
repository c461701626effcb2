"""Every very long shift has a second meal break. General information: check your local code."""

from __future__ import annotations

import pytest

from tests.builders import a_lead, a_setting
from tests.solver.rules.hour_books import a_break, a_rest, breaks_judged

CODE = "second-meal"
FIRST = a_break(240, 30)


@pytest.mark.parametrize(
    ("shift", "breaks", "lawful"),
    [
        pytest.param(600, [FIRST], True, id="CA 512(a): 10h00, one meal, more than 10 hours"),
        pytest.param(601, [FIRST], False, id="CA 512(a): 10h01, two meals"),
        pytest.param(601, [FIRST, a_break(500, 30)], True, id="CA 512(a): 10h01 with two"),
        pytest.param(721, [FIRST], False, id="CA 512(a): 12h01, two meals, none waivable"),
        pytest.param(
            690, [FIRST, a_break(630, 30)], True, id="CA Brinker: 11h work, second at clock 10h30"
        ),
        pytest.param(
            690, [FIRST, a_break(631, 30)], False, id="CA Brinker: a minute later is too late"
        ),
    ],
)
def test_the_rule_agrees_with_the_worked_examples(shift, breaks, lawful):
    assert (breaks_judged(CODE, shift, breaks) == ()) is lawful


def test_a_longer_first_meal_moves_the_latest_start_of_the_second():
    long_first = a_break(240, 60)
    assert breaks_judged(CODE, 720, [long_first, a_break(660, 30)]) == ()
    assert len(breaks_judged(CODE, 720, [long_first, a_break(661, 30)])) == 1


@pytest.mark.parametrize(
    "breaks",
    [
        [a_break(500, 30)],
        [FIRST, a_break(260, 30)],  # they overlap: one meal
        [FIRST, a_break(500, 29)],
        [FIRST, a_rest(500, 30)],
        [FIRST, a_break(680, 30)],  # after the shift
    ],
)
def test_one_meal_or_a_bad_second_is_a_breach(breaks):
    (finding,) = breaks_judged(CODE, 690, breaks)
    assert finding.staff == ("lead-1",)
    assert "a second of 30 min is due within 10 h of work" in finding.detail


def test_a_meal_inside_an_install_counts_unless_the_house_says_no():
    breaks = [FIRST, a_break(500, 30, inside="client-1")]
    assert breaks_judged(CODE, 690, breaks) == ()
    assert len(breaks_judged(CODE, 690, breaks, inside=0)) == 1


def test_the_rule_concerns_only_the_tags_it_names():
    setting = (a_setting(CODE, staff_tags=("minor",)),)
    assert breaks_judged(CODE, 690, settings=setting) == ()
    assert len(breaks_judged(CODE, 690, settings=setting, lead=a_lead(tags=("minor",)))) == 1
