"""The facts of the trade: each is common practice, no source."""

import pytest

from schemas.hair import HairRole
from schemas.style import CurlPlacement, CurlPlan, Parting
from schemas.work import BRAIDING
from solver.takeoff import house_materials, house_rates, take_off
from tests.solver.takeoff.heads import BACK, CURLS_AT_ENDS, FRONT_LEFT, FRONT_RIGHT, request

BUNDLE_GRAMS = 100


def bundles(answer):
    """Bundles of bulk hair, before rounding up."""
    sizes = {material.id: material.pack_grams for material in house_materials()}
    bulk = [line for line in answer.hair if line.role is HairRole.BULK]
    assert all(sizes[line.material] == BUNDLE_GRAMS for line in bulk)
    return sum(line.grams for line in bulk) / BUNDLE_GRAMS


@pytest.mark.parametrize("curls", [4, 5])
def test_a_knotless_braid_with_four_or_five_curls_takes_three_to_four_minutes(curls):
    # common practice, no source
    plan = CurlPlan(placement=CurlPlacement.ALONG, per_braid=curls)
    answer = take_off(request(curls=plan))
    assert answer.curls == curls * answer.braids
    parting = sum(line.amount for line in answer.lines if line.rate_code == "parting-row")
    braiding = sum(line.amount for line in answer.lines if line.phase == BRAIDING)
    assert 3 <= (braiding - parting) / answer.braids <= 4


def test_a_front_of_four_rows_a_side_of_two_two_two_and_four_is_twenty_braids():
    # common practice, no source
    answer = take_off(request(parting=Parting(sections=(FRONT_LEFT, FRONT_RIGHT))))
    assert answer.braids == 20
    assert [row.braids for row in answer.rows if row.section == "front-right"] == [2, 2, 2, 4]


def test_seven_back_rows_in_a_brick_lay_starting_three_and_four_are_twenty_four():
    # common practice, no source
    answer = take_off(request(parting=Parting(sections=(BACK,))))
    assert [row.braids for row in answer.rows] == [3, 4, 3, 4, 3, 4, 3]
    assert answer.braids == 24


def test_that_head_takes_two_and_a_quarter_bundles_with_curls_along_its_braids():
    # common practice, no source: 2 to 2.5 bundles of 100 g, at the house's weight of a curl
    answer = take_off(request())
    assert answer.braids == 44
    assert 2 <= bundles(answer) <= 2.5
    assert bundles(answer) == pytest.approx(2.25, abs=0.1)


def test_that_head_takes_one_bundle_with_curls_only_at_the_ends():
    # common practice, no source
    answer = take_off(request(curls=CURLS_AT_ENDS))
    assert 0.75 <= bundles(answer) <= 1
    assert [line.packs for line in answer.hair if line.role is HairRole.BULK] == [1]


def test_two_inches_of_a_curls_other_end_stay_in_the_braid():
    # common practice, no source. A curl of 35.56 cm (14 in.) to be seen is cut from hair of 16 in.,
    # so hair of 14 in. is too short by exactly 2 in.
    (stays,) = (rate for rate in house_rates() if rate.code == "curl-in-braid")
    assert stays.value == pytest.approx(2 * 2.54)
    plan = CurlPlan(placement=CurlPlacement.ALONG, per_braid=4, length_cm=35.6)
    hair = [{"role": "bulk", "material": "bulk-wavy-black-14"}]
    (short,) = (
        caution
        for caution in take_off(request(curls=plan, hair=hair)).cautions
        if caution.code == "short-hair"
    )
    assert short.figure == pytest.approx(2 * 2.54)


def test_a_lead_with_an_assistant_takes_about_three_hours_for_that_head():
    # common practice, no source: wash, prep, braiding and finish, on the average
    _, with_assistant, *_ = take_off(request()).crews
    assert with_assistant.assistants == 1
    assert with_assistant.mean == pytest.approx(180, abs=15)
