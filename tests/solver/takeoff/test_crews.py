"""Crews, and the phases a day book gets."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas.takeoff import Helper, RateOverride
from schemas.work import Performer, Place
from solver.takeoff import take_off, techniques
from solver.takeoff.crew import helped, spread
from solver.takeoff.odds import Lognormal
from solver.takeoff.rates import HOUSE_BOOK
from tests.solver.takeoff.heads import request


def test_the_table_goes_from_the_lead_alone_to_three_assistants():
    crews = take_off(request()).crews
    assert [crew.assistants for crew in crews] == [0, 1, 2, 3]
    assert [crew.crew for crew in crews][:3] == [
        "lead alone",
        "lead with 1 assistant",
        "lead with 2 assistants",
    ]
    assert crews[0].booked == take_off(request()).minutes.booked


def test_every_further_pair_of_hands_saves_less_than_the_one_before():
    crews = take_off(request()).crews
    savings = [crew.saved_by_last for crew in crews[1:]]
    assert savings == sorted(set(savings), reverse=True)
    assert all(saving > 0 for saving in savings)
    assert [crew.saved for crew in crews] == [crews[0].booked - crew.booked for crew in crews]


def test_one_assistant_all_the_while_obeys_the_planners_equation():
    # duration + help_rate * duration = work, so braiding lasts work / 1.5 at a rate of one half
    answer = take_off(request(helpers=[Helper(name="Ines", help_rate=0.5)]))
    (braiding,) = (phase for phase in answer.phase_minutes if phase.kind == "braiding")
    alone, helped = answer.crews
    assert helped.crew == "lead with Ines"
    assert alone.mean - helped.mean == pytest.approx(braiding.mean * (1 - 1 / 1.5))


def test_a_better_helper_saves_more():
    slow, fast = (
        take_off(request(helpers=[Helper(name="Ines", help_rate=rate)])).crews[1]
        for rate in (0.3, 0.9)
    )
    assert fast.booked < slow.booked


def test_without_crowding_only_the_arithmetic_of_sharing_diminishes():
    free = [RateOverride(code="crowding", value=1)]
    crowded, roomy = take_off(request()).crews, take_off(request(rates=free)).crews
    assert roomy[1].mean == pytest.approx(crowded[1].mean)
    assert roomy[2].mean < crowded[2].mean
    answer = take_off(request(rates=free))
    (braiding,) = (phase for phase in answer.phase_minutes if phase.kind == "braiding")
    assert answer.crews[0].mean - roomy[2].mean == pytest.approx(braiding.mean * (1 - 1 / 2))


@pytest.mark.parametrize("technique", techniques())
def test_phases_come_in_order_with_their_skills_hands_and_places(technique):
    answer = take_off(
        request(
            technique=technique,
            by_density=True,
            size="medium",
            curls={},
            take_down=True,
            hair=[{"role": "fill", "material": "fill-kinky-black-30"}]
            if technique != "sew-in"
            else [],
        )
    )
    assert [
        (phase.kind, phase.skill, phase.performer, phase.place, phase.shared, phase.help_skill)
        for phase in answer.phases
    ] == [
        ("take-down", "take-down", Performer.CREW, Place.CHAIR, False, None),
        ("wash", "wash", Performer.CREW, Place.BASIN, False, None),
        ("hair-prep", "hair-prep", Performer.CREW, Place.NOWHERE, False, None),
        ("braiding", technique, Performer.LEAD, Place.CHAIR, True, "assist"),
        ("finish", "finish", Performer.CREW, Place.CHAIR, False, None),
    ]
    assert [phase.breakable for phase in answer.phases] == [False, False, False, True, False]


def test_a_hot_water_set_makes_the_finish_longer():
    plain, hot = take_off(request()), take_off(request(hot_water_set=True))
    assert hot.minutes.mean == pytest.approx(plain.minutes.mean + 12)
    assert hot.phases[-1].minutes > plain.phases[-1].minutes


def test_a_slower_lead_is_booked_longer_in_proportion():
    usual, slower = take_off(request()).minutes, take_off(request(pace=1.25)).minutes
    for name in ("mean", "p50", "p80", "p95"):
        assert getattr(slower, name) == pytest.approx(1.25 * getattr(usual, name))


@given(
    minutes=st.floats(1, 2000),
    means=st.dictionaries(st.sampled_from("abcdef"), st.floats(0.1, 900), min_size=1, max_size=6),
)
def test_minutes_are_spread_over_phases_without_loss(minutes, means):
    given_ = spread(minutes, means)
    assert all(of_phase % 5 == 0 and of_phase >= 5 for of_phase in given_.values())
    whole = sum(given_.values())
    assert minutes - 1e-6 <= whole < max(minutes + 5, 5 * len(means) + 1)
    if whole > 5 * len(means):
        share = {kind: minutes * mean / sum(means.values()) for kind, mean in means.items()}
        short = sum(max(0.0, 5 - of_phase) for of_phase in share.values())
        assert all(abs(given_[kind] - share[kind]) <= 10 + short for kind in means)


def test_a_crews_odds_are_within_one_per_cent_of_a_simulation():
    answer = take_off(request())
    rng, rates = np.random.default_rng(5), HOUSE_BOOK
    draws = 400_000
    shared = rng.standard_normal(draws)
    help_ = rates["help-rate"]

    def lognormal(mean, cv, common):
        sigma = np.sqrt(np.log1p(cv**2))
        normal = np.sqrt(common) * shared + np.sqrt(1 - common) * rng.standard_normal(draws)
        return mean * np.exp(sigma * normal - sigma**2 / 2)

    # Of the braiding's own spread and that of help, log variances add up, as they do where two
    # lognormals are multiplied; all phases share half of theirs.
    common = rates["common-share"]
    shortened = rates["cv-help"] * help_ / (1 + help_)
    total = np.zeros(draws)
    for phase in answer.phase_minutes:
        mean, cv = phase.mean, phase.cv
        if phase.kind == "braiding":
            mean, cv = mean / (1 + help_), np.sqrt((1 + cv**2) * (1 + shortened**2) - 1)
        total += lognormal(mean, cv, common)
    with_assistant = answer.crews[1]
    assert with_assistant.mean == pytest.approx(total.mean(), rel=0.01)
    for percent in (50, 80, 95):
        minutes = getattr(with_assistant, f"p{percent}")
        assert minutes == pytest.approx(np.percentile(total, percent), rel=0.01)


def test_the_spread_of_help_divided_is_about_the_spread_it_is_taken_for():
    # 1 / (1 + h) for h of mean 0.5 and CV 0.25: the first-order CV is 0.25 * 0.5 / 1.5 = 0.083.
    rng = np.random.default_rng(9)
    sigma = np.sqrt(np.log1p(0.25**2))
    help_ = 0.5 * np.exp(sigma * rng.standard_normal(400_000) - sigma**2 / 2)
    shortened = 1 / (1 + help_)
    alone = Lognormal(1.0, 0.0)
    taken = helped(alone, 0.5, 0.25)
    assert taken.cv == pytest.approx(0.0833, abs=0.0001)
    assert shortened.std() / shortened.mean() == pytest.approx(taken.cv, abs=0.006)
    assert shortened.mean() == pytest.approx(taken.mean, rel=0.01)


def test_help_that_varies_widens_the_odds_and_leaves_the_mean():
    steady = take_off(request(rates=[RateOverride(code="cv-help", value=0)])).crews
    usual = take_off(request()).crews
    assert usual[0] == steady[0]
    for one, other in zip(usual[1:], steady[1:], strict=True):
        assert one.mean == other.mean
        assert one.p95 > other.p95


def test_named_assistants_come_in_every_crew_there_is_of_them():
    helpers = [Helper(name="Ines", help_rate=0.5), Helper(name="Noor", help_rate=0.8)]
    crews = take_off(request(helpers=helpers)).crews
    assert [crew.crew for crew in crews] == [
        "lead alone",
        "lead with Ines",
        "lead with Noor",
        "lead with Ines, Noor",
    ]
    alone, ines, noor, both = crews
    assert both.booked < noor.booked < ines.booked < alone.booked
    assert both.saved_by_last == ines.booked - both.booked
    assert noor == take_off(request(helpers=helpers[1:])).crews[1]


def test_with_a_start_each_crew_has_its_finish():
    # Lisbon leaves summer time on 25 October 2026 at 02:00: true length, not wall clock.
    answer = take_off(request(start="2026-10-25T00:00:00+01:00"))
    for crew in answer.crews:
        assert (crew.finish - answer.crews[0].finish).total_seconds() == -60 * crew.saved
    assert answer.crews[0].finish.isoformat() == "2026-10-25T04:30:00+01:00"
    assert {crew.finish for crew in take_off(request()).crews} == {None}
