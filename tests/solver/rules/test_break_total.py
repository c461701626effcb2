"""Every long shift has enough minutes of break. General information: check your local code."""

from __future__ import annotations

import pytest

from tests.builders import a_lead, a_setting
from tests.solver.rules.hour_books import a_break, a_rest, breaks_judged

CODE = "break-total"


def parts(*minutes):
    """Breaks of these lengths, two hours apart."""
    return [a_break(60 + 120 * number, length) for number, length in enumerate(minutes)]


@pytest.mark.parametrize(
    ("shift", "breaks", "lawful"),
    [
        pytest.param(360, [], True, id="DE s. 4: 6h00, none, mehr als sechs"),
        pytest.param(361, [], False, id="DE s. 4: 6h01"),
        pytest.param(540, parts(30), True, id="DE s. 4: 9h00, 30 min, bis zu neun"),
        pytest.param(541, parts(30), False, id="DE s. 4: 9h01, 45 min"),
        pytest.param(541, parts(45), True, id="DE s. 4: 9h01 with 45"),
        pytest.param(570, parts(15, 15, 15), True, id="DE s. 4: 3 x 15 for 9h30"),
        pytest.param(570, parts(25, 10, 10), False, id="DE s. 4: 25 + 2 x 10, parts too short"),
        pytest.param(540, parts(15, 15), True, id="DE s. 4: 2 x 15"),
        pytest.param(540, parts(16, 14), False, id="DE s. 4: 14 is no part"),
    ],
)
def test_the_rule_agrees_with_the_worked_examples(shift, breaks, lawful):
    assert (breaks_judged(CODE, shift, breaks) == ()) is lawful


def test_breaks_that_touch_are_one():
    assert breaks_judged(CODE, 540, [a_break(60, 10), a_break(70, 20)]) == ()


def test_breaks_that_overlap_count_once():
    (finding,) = breaks_judged(CODE, 540, [a_break(60, 20), a_break(70, 15)])
    assert "with 25 min of break; 30 are due" in finding.detail


def test_what_is_too_short_is_told():
    (finding,) = breaks_judged(CODE, 570, parts(25, 10, 10))
    assert "with 25 min of break (2 shorter than 15 min); 45 are due" in finding.detail
    assert finding.remedy == "Give Lead-1 20 min more, no part shorter than 15."


def test_a_rest_break_is_none():
    assert len(breaks_judged(CODE, 540, [a_rest(60, 30)])) == 1


def test_a_break_inside_an_install_counts_unless_the_house_says_no():
    inside = [a_break(60, 30, inside="client-1")]
    assert breaks_judged(CODE, 540, inside) == ()
    assert len(breaks_judged(CODE, 540, inside, inside=0)) == 1


def test_the_rule_concerns_only_the_tags_it_names():
    setting = (a_setting(CODE, staff_tags=("minor",)),)
    assert breaks_judged(CODE, 540, settings=setting) == ()
    assert len(breaks_judged(CODE, 540, settings=setting, lead=a_lead(tags=("minor",)))) == 1
