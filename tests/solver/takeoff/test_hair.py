"""Hair: grams, strands, packs, money, and what could stand in."""

from math import pi

import pytest

from schemas.hair import HairRole, Material, StockLine
from schemas.style import CurlPlacement, CurlPlan
from solver.errors import StyleError
from solver.takeoff import house_materials, house_rates, take_off
from solver.takeoff.hair import linear_density
from tests.solver.takeoff.heads import request

RATE = {rate.code: rate.value for rate in house_rates()}
HOUSE = {material.id: material for material in house_materials()}
PLAIN = CurlPlan()


def fill(answer):
    return [line for line in answer.hair if line.role is HairRole.FILL]


def material(**facts):
    plain = HOUSE["fill-kinky-black-26"]
    return Material.model_validate(plain.model_dump() | facts)


def stock(**grams):
    return [
        StockLine(material=name.replace("_", "-"), on_hand_grams=there)
        for name, there in grams.items()
    ]


@pytest.mark.parametrize(
    ("diameter_um", "mg_per_cm"),
    # Keratin at 1.32 g/cm3 in a round fibre, worked by hand. The density is from memory of the
    # literature on keratin fibres (1.30 to 1.33): no text was at hand to name.
    [(60, 0.037), (70, 0.051), (80, 0.066)],
)
def test_a_hair_weighs_its_section_times_its_density(diameter_um, mg_per_cm):
    assert linear_density(diameter_um) * 1000 == pytest.approx(mg_per_cm, abs=0.0005)
    assert linear_density(diameter_um) == pytest.approx(1.32 * pi / 4 * (diameter_um * 1e-4) ** 2)


def test_a_hundred_thousand_hairs_of_thirty_cm_weigh_about_152_grams():
    assert 100_000 * 30 * linear_density(70) == pytest.approx(152, abs=1)


@pytest.mark.parametrize(
    "diameter_um",
    # Mean diameters as published: 57.1 um in 120 volunteers (Erik et al., Skin Res Technol 2008,
    # BioNumbers 106859) and 85.9 um (Jeong et al., Skin Res Technol 2011, BioNumbers 106857).
    [57.1, 85.9],
)
def test_a_curl_is_a_lock_of_a_few_hundred_hairs(diameter_um):
    # Plausible by count (a house judgement, no source): a curl is neither ten hairs nor thousands.
    hairs = RATE["curl-density"] / linear_density(diameter_um)
    assert 250 <= hairs <= 700


def test_grams_are_strands_times_grams_per_strand_and_waste():
    (line,) = take_off(request(curls=PLAIN, length_cm=66)).hair
    # 44 braids of four strands; large takes 0.12 g per cm; hair of 26 in. is 66.0 cm; 5 % waste.
    assert line.material == "fill-kinky-black-26"
    assert line.strands == 44 * 4
    assert line.grams == pytest.approx(44 * 0.12 * 66.0 * 1.05)
    assert line.packs == 5  # 366 g in packs of 82
    assert line.left_over_grams == pytest.approx(5 * 82 - line.grams)


def test_short_fill_hair_is_lengthened_by_overlapping_strands():
    hair = [{"role": "fill", "material": "fill-kinky-black-20"}]
    (line,) = take_off(request(curls=PLAIN, length_cm=90, hair=hair)).hair
    # A strand of 50.8 cm that overlaps by 8 reaches 42.8 further: (90 - 8) / 42.8 of each.
    assert line.strands == 338  # ceil(176 * 1.9159)
    assert line.grams == pytest.approx(338 * 0.03 * 50.8 * 1.05)


def test_mixed_colours_share_the_strands():
    hair = [
        {"role": "fill", "material": "fill-kinky-black-30", "share": 0.7},
        {"role": "fill", "material": "fill-kinky-brown-30", "share": 0.3},
    ]
    black, brown = fill(take_off(request(hair=hair)))
    assert (black.strands, brown.strands) == (124, 53)  # 176 * 0.7 and 0.3, rounded up
    assert black.grams / brown.grams == pytest.approx(124 / 53)


def test_what_the_client_brings_costs_nothing_and_weighs_the_same():
    hair = [{"role": "bulk", "material": "bulk-wavy-black-18"}]
    brought = [hair[0] | {"brought_by_client": True}]
    ours, hers = take_off(request(hair=hair)), take_off(request(hair=brought))
    assert hers.hair_grams == ours.hair_grams
    (own,) = (line for line in hers.hair if line.role is HairRole.BULK)
    assert own.brought_by_client
    assert (own.price, own.currency) == (0, None)
    (bulk,) = (line for line in ours.hair if line.role is HairRole.BULK)
    assert ours.hair_prices[0].price - hers.hair_prices[0].price == bulk.price > 0


def test_money_is_whole_packs_at_their_price_by_currency():
    kinky = material(id="kinky-1", pack_price=500, currency="EUR", pack_grams=100)
    bulk = Material.model_validate(
        HOUSE["bulk-wavy-black-18"].model_dump() | {"id": "b", "currency": "GBP", "pack_price": 900}
    )
    hair = [{"role": "fill", "material": "kinky-1"}, {"role": "bulk", "material": "b"}]
    answer = take_off(request(length_cm=66, hair=hair, materials=[kinky, bulk]))
    prices = {price.currency: price.price for price in answer.hair_prices}
    assert prices == {"EUR": 4 * 500, "GBP": 3 * 900}  # 366 g and 225 g in packs of 100 g


def test_braids_in_her_own_hair_take_none_and_need_no_hair_prep():
    answer = take_off(request(technique="two-strand-twist", curls=PLAIN))
    assert answer.hair == ()
    assert answer.hair_grams == 0
    assert "hair-prep" not in [phase.kind for phase in answer.phases]


def test_curls_only_at_the_ends_take_a_bundle_where_curls_along_take_three():
    def packs(curls):
        answer = take_off(request(curls=curls))
        return [line.packs for line in answer.hair if line.role is HairRole.BULK]

    along = CurlPlan(placement=CurlPlacement.ALONG, per_braid=5)
    ends = CurlPlan(placement=CurlPlacement.ENDS, per_braid=2)
    assert packs(along) == [3]
    assert packs(ends) == [1]


@pytest.mark.parametrize(
    ("hair", "pointer", "detail"),
    [
        (
            [{"role": "fill", "material": "moonlight"}],
            "/style/hair/0/material",
            "the material moonlight is not known; add it to the materials",
        ),
        (
            [{"role": "fill", "material": "bulk-wavy-black-18"}],
            "/style/hair/0/material",
            "bulk-wavy-black-18 is bulk hair, not fill",
        ),
        (
            [{"role": "weft", "material": "weft-wavy-black-18"}],
            "/style/hair/0/role",
            "knotless takes fill and bulk hair only",
        ),
        (
            [{"role": "fill", "material": "fill-kinky-black-26", "share": 0.6}],
            "/style/hair",
            "the shares of fill come to 0.6, not 1",
        ),
        (
            [{"role": "fill", "material": "fill-kinky-black-26", "share": 0.5}] * 2,
            "/style/hair/1/material",
            "fill-kinky-black-26 is named twice",
        ),
    ],
)
def test_hair_that_makes_no_sense_is_refused_with_where_and_why(hair, pointer, detail):
    with pytest.raises(StyleError) as refused:
        take_off(request(hair=hair))
    assert [(fault.pointer, fault.detail) for fault in refused.value.faults] == [(pointer, detail)]


def test_hair_shorter_than_its_overlap_cannot_lengthen_a_strand():
    stub = material(id="stub", length_cm=8)
    hair = [{"role": "fill", "material": "stub"}]
    with pytest.raises(StyleError, match="stub is 8 cm long, too short") as refused:
        take_off(request(hair=hair, materials=[stub]))
    assert refused.value.faults[0].pointer == "/style/hair"


def test_hair_that_is_short_draws_another_length_cut_down_with_its_cost():
    shelf = stock(fill_kinky_black_26=100.0, fill_kinky_black_30=900.0)
    answer = take_off(request(curls=PLAIN, length_cm=66, stock=shelf))
    (needed,) = answer.hair
    best = answer.substitutes[0]
    assert best.instead_of == "fill-kinky-black-26"
    assert best.short_grams == pytest.approx(needed.grams - 100)
    assert best.material == "fill-kinky-black-30"
    assert best.on_hand
    assert best.extra_grams == pytest.approx(44 * 0.12 * (76.2 - 66.0) * 1.05)
    assert best.grams == pytest.approx(needed.grams + best.extra_grams)
    assert best.extra_price == best.packs * 600 - needed.price
    assert best.sentence == "Kinky fill hair, black, 30 in.: cut down by 10 cm, 57 g more"


def test_a_substitute_is_the_hair_one_would_get_by_asking_for_it():
    shelf = stock(fill_kinky_black_26=0.0)
    answer = take_off(request(curls=PLAIN, length_cm=66, stock=shelf))
    assert answer.substitutes
    for offer in answer.substitutes:
        hair = [{"role": "fill", "material": offer.material}]
        (line,) = take_off(request(curls=PLAIN, length_cm=66, hair=hair)).hair
        assert (line.grams, line.packs) == (offer.grams, offer.packs)
        assert HOUSE[offer.material].colour == "black"
        assert not offer.on_hand


def test_hair_that_is_there_or_not_on_the_list_draws_no_substitute():
    assert take_off(request(stock=stock(fill_kinky_black_30=900.0))).substitutes == ()
    assert take_off(request(stock=stock(fill_kinky_brown_30=0.0))).substitutes == ()


def test_shorter_bulk_hair_is_no_substitute():
    answer = take_off(request(stock=stock(bulk_wavy_black_18=10.0)))
    assert {offer.material for offer in answer.substitutes} == {
        "bulk-wavy-black-22",
        "bulk-wavy-black-26",
    }


def test_where_the_hair_asked_for_ends_higher_a_substitute_may_too():
    hair = [{"role": "bulk", "material": "bulk-wavy-black-14"}]
    answer = take_off(request(hair=hair, stock=stock(bulk_wavy_black_14=0.0)))
    assert {offer.sentence for offer in answer.substitutes if "18 in." in offer.sentence} == {
        "Wavy bulk hair, black, 18 in.: cut down by 1 cm, 50 g more"
    }
    other = material(id="bulk-curt", role="bulk", texture="wavy", length_cm=40, name="Curt bulk")
    asked = request(hair=hair, stock=stock(bulk_wavy_black_14=0.0), materials=[other])
    assert "Curt bulk: each ends 5 cm higher, 22 g more" in {
        offer.sentence for offer in take_off(asked).substitutes
    }
