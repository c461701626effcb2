"""Crews, and the phases a day book gets."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas.takeoff import Helper, RateOverride
from schemas.work import Performer, Place
from solver.takeoff import take_off, techniques
from solver.takeoff.crew import spread
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
