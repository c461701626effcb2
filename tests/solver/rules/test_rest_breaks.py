"""Every shift has its short rest breaks. General information: check your local code."""

from __future__ import annotations

import pytest

from schemas.plan import BreakKind
from tests.builders import a_lead, a_setting, a_window
from tests.solver.rules.hour_books import a_break, a_rest, breaks_judged

CODE = "rest-breaks"


@pytest.mark.parametrize(
    ("shift", "due"),
    [
        pytest.param(209, 0, id="CA Wage Order 2: 3h29, less than three and one-half"),
        pytest.param(210, 1, id="CA Wage Order 2: 3h30"),
        pytest.param(360, 1, id="CA Brinker: 6h00, 1 x 10"),
        pytest.param(361, 2, id="CA Brinker: 6h01, 2 x 10, more than six hours"),
        pytest.param(600, 2, id="CA Brinker: 10h00, 2 x 10"),
        pytest.param(601, 3, id="CA Brinker: 10h01, 3 x 10"),
        pytest.param(840, 3, id="CA Brinker: 14h00, 3 x 10"),
        pytest.param(841, 4, id="CA Brinker: 14h01, 4 x 10"),
    ],
)
def test_a_shift_has_one_for_each_four_hours_or_major_fraction(shift, due):
    assert len(breaks_judged(CODE, shift)) == due
    together = [a_rest(60 + 10 * number) for number in range(due)]
    assert breaks_judged(CODE, shift, together, spread=0) == ()
    if due:
        (finding,) = breaks_judged(CODE, shift, together[1:], spread=0)
        assert f"{due} rest breaks are due" in finding.detail


def test_one_starts_in_each_equal_part_of_the_shift():
    assert breaks_judged(CODE, 480, [a_rest(200), a_rest(239)]) != ()
    assert breaks_judged(CODE, 480, [a_rest(239), a_rest(249, 9)]) != ()
    assert breaks_judged(CODE, 480, [a_rest(200), a_rest(240)]) == ()
    (finding,) = breaks_judged(CODE, 480, [a_rest(100)])
    assert finding.window == a_window("13:00", "17:00")


@pytest.mark.parametrize(
    ("rest", "good"),
    [
        (a_rest(100, 10), True),
        (a_rest(100, 9), False),
        (a_rest(100, 15), True),
        (a_break(100, 30), False),  # a meal is no rest
        (a_rest(300, 10), False),  # after the shift
        (a_rest(235, 10), False),  # it ends after the shift
    ],
)
def test_a_rest_is_long_enough_and_inside_the_shift(rest, good):
    assert (breaks_judged(CODE, 240, [rest]) == ()) is good


def test_two_that_overlap_are_one():
    rests = [a_rest(60, 20), a_rest(70, 20)]
    (finding,) = breaks_judged(CODE, 480, rests, spread=0)
    assert "Missing is a rest break" in finding.detail
    assert breaks_judged(CODE, 480, [a_rest(60, 10), a_rest(70, 20)], spread=0) == ()


def test_a_long_one_in_which_two_short_ones_lie_does_not_hide_them():
    rests = [a_rest(60, 60), a_rest(60, 10), a_rest(110, 10)]
    assert breaks_judged(CODE, 480, rests, spread=0) == ()


def test_one_inside_an_install_counts_unless_the_house_says_no():
    rest = a_rest(100, inside="client-1")
    assert breaks_judged(CODE, 240, [rest]) == ()
    assert len(breaks_judged(CODE, 240, [rest], inside=0)) == 1


def test_the_rule_concerns_only_the_tags_it_names():
    setting = (a_setting(CODE, staff_tags=("minor",)),)
    assert breaks_judged(CODE, 240, settings=setting) == ()
    assert len(breaks_judged(CODE, 240, settings=setting, lead=a_lead(tags=("minor",)))) == 1


def test_a_soft_rule_costs_its_weight_for_each_that_is_missing():
    soft = (a_setting(CODE, hard=False, weight=7, spread=0),)
    (finding,) = breaks_judged(CODE, 601, settings=soft)
    assert finding.cost == 21


def test_kinds_are_told_apart():
    assert len(breaks_judged(CODE, 240, [a_break(100, 10, BreakKind.MEAL)])) == 1


def test_a_shift_of_a_year_is_asked_for_no_more_than_a_hundred():
    assert len(breaks_judged(CODE, 365 * 1440, every=30)) == 100
