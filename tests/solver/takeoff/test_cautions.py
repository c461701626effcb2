"""Cautions: each comes with the figure that caused it, and only then."""

import pytest

from schemas.style import CurlPlan, Wearer
from schemas.takeoff import RateOverride
from solver.takeoff import take_off
from tests.solver.takeoff.heads import CURLS_ALONG, request

LIGHT = {"curls": CurlPlan(), "length_cm": 25, "size": "medium", "by_density": True}


def drawn(**changes):
    return {caution.code: caution for caution in take_off(request(**changes)).cautions}


@pytest.mark.parametrize(
    ("code", "changes", "figure"),
    [
        # Worked by hand from the house rates: 0.12 g per cm of large braid.
        ("weight-per-braid", {"curls": CurlPlan(), "length_cm": 110}, 0.12 * 110),
        ("weight-on-head", {"curls": CurlPlan(), "length_cm": 120}, 44 * 0.12 * 120),
        ("small-box-long-hair", {**LIGHT, "size": "small", "length_cm": 92}, 92 / 2.3),
        ("edges-and-nape", {}, 8),
        ("child", {**LIGHT, "wearer": Wearer(child=True)}, 76 * 0.071 * 25),
        ("tender-scalp", {**LIGHT, "wearer": Wearer(tender_scalp=True)}, 92 * 0.071 * 25),
        ("relaxed-hair", {**LIGHT, "wearer": Wearer(relaxed_hair=True)}, 92 * 0.071 * 25),
        ("hot-water", {"hot_water_set": True}, 70),
        ("size-and-count", {"braids": 300}, 775 / 3.9**2),
    ],
)
def test_a_caution_names_the_figure_behind_it(code, changes, figure):
    assert drawn(**changes)[code].figure == pytest.approx(figure)
    if code != "edges-and-nape":
        assert code not in drawn(**LIGHT)


@pytest.mark.parametrize(
    ("length_cm", "said"),
    [(30 * 2.3 - 0.1, False), (30 * 2.3 + 0.1, True)],  # thirty times the box of a small braid
)
def test_length_over_box_width_asks_for_a_word_above_thirty(length_cm, said):
    light = LIGHT | {"size": "small", "length_cm": length_cm}
    assert ("small-box-long-hair" in drawn(**light)) is said


@pytest.mark.parametrize(
    ("braids", "said"),
    # A head of 56 cm takes 51 large boxes; half of it and twice as many still pass.
    [(25, True), (26, False), (101, False), (102, True)],
)
def test_size_and_count_may_differ_by_a_factor_of_two(braids, said):
    assert ("size-and-count" in drawn(braids=braids)) is said


def test_hours_of_handwork_without_a_rest_ask_for_rests():
    answer = take_off(request())
    (braiding,) = (phase for phase in answer.phase_minutes if phase.kind == "braiding")
    (rests,) = (caution for caution in answer.cautions if caution.code == "handwork")
    assert rests.figure == pytest.approx(braiding.p80)
    assert "handwork" not in drawn(braids=12)


def test_hair_that_ends_higher_than_asked_is_said():
    hair = [{"role": "bulk", "material": "bulk-wavy-black-14"}]
    # 40 cm to be seen and 5.08 in the braid, of hair of 35.6
    assert drawn(hair=hair)["short-hair"].figure == pytest.approx(40 + 5.08 - 35.6)


def test_no_hair_hangs_from_braids_in_her_own_hair():
    codes = set(drawn(**LIGHT | {"technique": "two-strand-twist"}))
    assert codes.isdisjoint({"weight-per-braid", "weight-on-head", "edges-and-nape"})


def test_health_cautions_send_to_a_professional():
    wearer = Wearer(child=True, tender_scalp=True, relaxed_hair=True)
    cautions = drawn(wearer=wearer, length_cm=110)
    for code in ("weight-per-braid", "child", "tender-scalp", "relaxed-hair"):
        assert "licensed professional" in cautions[code].sentence


def test_hot_water_is_not_for_a_child():
    child = drawn(hot_water_set=True, wearer=Wearer(child=True))["hot-water"].sentence
    assert "Do not do it on a child" in child
    assert "child" not in drawn(hot_water_set=True)["hot-water"].sentence


def test_the_limit_is_a_rate_the_salon_may_set():
    strict = [RateOverride(code="care-braid", value=3)]
    assert "weight-per-braid" in drawn(rates=strict, curls=CURLS_ALONG, length_cm=40)
    assert "weight-per-braid" not in drawn(curls=CURLS_ALONG, length_cm=25)
