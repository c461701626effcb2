"""Learning a lead's pace from finished visits."""

import numpy as np
import pytest

from schemas.takeoff import FinishedVisit, RateOverride
from solver.takeoff.learning import learn_pace, overall_pace
from solver.takeoff.rates import HOUSE_BOOK, rate_book

LEAD_SPREAD, VISIT_SPREAD = HOUSE_BOOK["spread-leads"], HOUSE_BOOK["spread-visits"]


def visits(ratios, lead="ada", technique="knotless", reckoned=180.0):
    return [
        FinishedVisit(lead=lead, technique=technique, reckoned=reckoned, took=reckoned * ratio)
        for ratio in ratios
    ]


def learned(ratios):
    (estimate,) = learn_pace(visits(ratios))
    return estimate


def test_the_estimate_is_the_conjugate_normals_for_visits_that_agree():
    # Visits that agree lie at the centre, so each weighs one and the textbook posterior holds:
    # precision 1/0.2^2 + n/0.25^2, mean n ln(1.2)/0.25^2 / precision.
    n, ratio = 8, 1.2
    precision = 1 / LEAD_SPREAD**2 + n / VISIT_SPREAD**2
    mean = n * np.log(ratio) / VISIT_SPREAD**2 / precision
    estimate = learned([ratio] * n)
    assert estimate.pace == pytest.approx(np.exp(mean))
    assert estimate.low == pytest.approx(np.exp(mean - 1.6448536 / np.sqrt(precision)))
    assert estimate.high == pytest.approx(np.exp(mean + 1.6448536 / np.sqrt(precision)))
    assert (estimate.visits, estimate.set_aside) == (n, 0)


def test_few_visits_stay_near_the_house_rate_and_many_leave_it():
    paces = [learned([1.5] * n).pace for n in (1, 3, 10, 60)]
    assert paces == sorted(paces)
    assert 1 < paces[0] < 1.25
    assert paces[-1] == pytest.approx(1.5, rel=0.02)


def test_a_known_pace_lies_in_the_stated_interval_nine_times_in_ten():
    # 600 leads whose paces follow the belief before any visit, each with 1 to 20 visits. With a
    # coverage of 0.9 the standard error is 0.012; the biweight makes intervals a little wider.
    rng = np.random.default_rng(7)
    inside = 0
    for _ in range(600):
        pace = rng.normal(0, LEAD_SPREAD)
        ratios = np.exp(pace + rng.normal(0, VISIT_SPREAD, rng.integers(1, 21)))
        estimate = learned(ratios)
        inside += estimate.low <= np.exp(pace) <= estimate.high
    assert 0.87 <= inside / 600 <= 0.96


def test_the_middle_of_the_belief_comes_to_the_true_pace():
    rng = np.random.default_rng(11)
    estimate = learned(np.exp(np.log(0.85) + rng.normal(0, VISIT_SPREAD, 400)))
    assert estimate.pace == pytest.approx(0.85, rel=0.04)


@pytest.mark.parametrize("absurd", [10.0, 50.0, 0.05])
@pytest.mark.parametrize("n", [1, 2, 3, 12])
def test_one_forgotten_clock_cannot_spoil_it(n, absurd):
    sound = learned([1.1] * n)
    spoilt = learned([1.1] * n + [absurd])
    assert spoilt.pace == pytest.approx(sound.pace, rel=0.02)
    assert spoilt.set_aside == 1


@pytest.mark.parametrize("absurd", [10.0, 4.6, 0.05])
def test_a_forgotten_clock_alone_leaves_the_house_rate(absurd):
    assert learned([absurd]).pace == pytest.approx(1)


def test_a_visit_far_from_the_rest_is_weighed_down_and_counted_as_set_aside():
    # ln 2.3 from eight visits at 1: the biweight's limit is 4.685 * 0.25 * sqrt(1 + 1/9) = 1.235,
    # its weight (1 - (0.833 / 1.235)^2)^2 = 0.30.
    estimate = learned([1.0] * 8 + [2.3])
    assert estimate.set_aside == 1
    assert estimate.pace == pytest.approx(
        np.exp(0.297 * np.log(2.3) * 16 / (25 + 16 * 8.297)), rel=1e-3
    )


def test_leads_and_techniques_are_learned_apart():
    mixed = visits([1.3] * 5) + visits([0.8] * 5, lead="bea")
    mixed += visits([1.0] * 2, technique="faux-locs")
    estimates = learn_pace(mixed)
    assert [(e.lead, e.technique, e.visits) for e in estimates] == [
        ("ada", "faux-locs", 2),
        ("ada", "knotless", 5),
        ("bea", "knotless", 5),
    ]
    assert estimates[1] == learn_pace(visits([1.3] * 5))[0]


def test_no_visits_are_no_estimate():
    assert learn_pace([]) == ()


def test_all_her_techniques_together_are_one_estimate():
    mixed = visits([1.3] * 5) + visits([1.3] * 3, technique="faux-locs") + visits([0.8], lead="bea")
    whole = overall_pace("ada", mixed)
    assert (whole.technique, whole.visits) == (None, 8)
    assert whole.pace == learned([1.3] * 8).pace
    assert overall_pace("cleo", mixed).pace == 1


def test_a_salon_whose_leads_differ_more_trusts_few_visits_more():
    wider = rate_book((RateOverride(code="spread-leads", value=0.5),))
    (estimate,) = learn_pace(visits([1.5] * 2), wider)
    assert learned([1.5] * 2).pace < estimate.pace < 1.5
