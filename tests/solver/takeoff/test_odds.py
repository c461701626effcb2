"""Odds against other implementations: scipy's lognormal, and a simulation."""

import numpy as np
import pytest
from scipy import stats

from solver.takeoff import take_off
from solver.takeoff.odds import Lognormal, added_up, braiding_cv
from tests.solver.takeoff.heads import request

DRAWS = 400_000


@pytest.mark.parametrize(
    ("mean", "cv", "p50", "p80", "p90"),
    [
        # Closed form: sigma^2 = ln(1 + CV^2), mu = ln(mean) - sigma^2 / 2.
        (300, 0.25, 291.043, 358.058, 399.021),
        (240, 0.50, 214.663, 319.460, 393.251),
    ],
)
def test_percentiles_equal_the_closed_form(mean, cv, p50, p80, p90):
    phase = Lognormal(mean, cv)
    for percent, minutes in ((50, p50), (80, p80), (90, p90)):
        assert phase.percentile(percent) == pytest.approx(minutes, abs=1e-3)


@pytest.mark.parametrize("cv", [0.02, 0.2, 0.35, 1.0])
@pytest.mark.parametrize("percent", [50, 63, 80, 95, 99])
def test_percentiles_equal_scipys(cv, percent):
    phase = Lognormal(100.0, cv)
    sigma = np.sqrt(np.log1p(cv**2))
    other = stats.lognorm(s=sigma, scale=100 * np.exp(-(sigma**2) / 2))
    assert phase.percentile(percent) == pytest.approx(other.ppf(percent / 100), rel=1e-9)
    assert other.mean() == pytest.approx(100)
    assert other.std() == pytest.approx(100 * cv)


@pytest.mark.parametrize("common", [0.0, 0.5, 1.0])
@pytest.mark.parametrize(
    "phases",
    [
        # The phases of the worked head of 44 braids, and of a longer visit with a take-down.
        [(30, 0.2), (24.4, 0.25), (161.8, 0.209), (14.4, 0.3)],
        [(60, 0.35), (30, 0.2), (20, 0.25), (420, 0.202), (40, 0.3)],
    ],
)
def test_visit_percentiles_are_within_one_per_cent_of_a_simulation(phases, common):
    rng = np.random.default_rng(20)
    shared = rng.standard_normal(DRAWS)
    total = np.zeros(DRAWS)
    for mean, cv in phases:
        sigma = np.sqrt(np.log1p(cv**2))
        normal = np.sqrt(common) * shared + np.sqrt(1 - common) * rng.standard_normal(DRAWS)
        total += mean * np.exp(sigma * normal - sigma**2 / 2)
    visit = added_up([Lognormal(*phase) for phase in phases], common)
    assert visit.mean == pytest.approx(total.mean(), rel=0.005)
    for percent in (50, 80, 95):
        assert visit.percentile(percent) == pytest.approx(np.percentile(total, percent), rel=0.01)


def test_the_visit_of_a_take_off_is_within_one_per_cent_of_a_simulation():
    answer = take_off(request(take_down=True, hot_water_set=True))
    rng = np.random.default_rng(3)
    shared = rng.standard_normal(DRAWS)
    total = np.zeros(DRAWS)
    for phase in answer.phase_minutes:
        sigma = np.sqrt(np.log1p(phase.cv**2))
        # the house rate common-share is one half
        normal = np.sqrt(0.5) * (shared + rng.standard_normal(DRAWS))
        total += phase.mean * np.exp(sigma * normal - sigma**2 / 2)
    odds = answer.minutes
    for percent, minutes in ((50, odds.p50), (80, odds.p80), (95, odds.p95)):
        assert minutes == pytest.approx(np.percentile(total, percent), rel=0.01)


def test_braids_that_share_nothing_would_make_the_odds_absurdly_narrow():
    # 120 braids of 2.5 min with a CV of 0.4 each: a standard deviation of 11 min where they are
    # independent, and 120 min where one factor drives them all.
    assert 300 * braiding_cv(0.0, 0.4, 120) == pytest.approx(11, abs=0.1)
    assert 300 * braiding_cv(0.4, 0.0, 120) == pytest.approx(120)
    answer = take_off(request(by_density=True, size="small"))
    (braiding,) = (phase for phase in answer.phase_minutes if phase.kind == "braiding")
    assert braiding.cv > 0.2


def test_the_desk_books_at_the_percentile_it_asks_for():
    booked = [take_off(request(percentile=percent)).minutes for percent in (50, 80, 95)]
    assert [odds.booked for odds in booked] == sorted({odds.booked for odds in booked})
    for odds, minutes in zip(booked, (booked[0].p50, booked[0].p80, booked[0].p95), strict=True):
        assert 0 <= odds.booked - minutes < 5
