"""Counting braids and curls, by parting, by number and by density."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from schemas.style import (
    CurlPlacement,
    CurlPlan,
    Parting,
    Region,
    RowPattern,
    Section,
    Side,
    StyleChange,
    Wearer,
)
from solver.errors import StyleError
from solver.takeoff import sizes, take_off, techniques
from tests.solver.takeoff.heads import WORKED_PARTING, request, style

NO_CURLS = CurlPlan()


def braids(**changes):
    return take_off(request(**{"curls": NO_CURLS} | changes)).braids


def test_a_narrower_size_holds_more_braids():
    counts = [braids(by_density=True, size=size) for size in sizes()]
    assert counts == sorted(counts, reverse=True)
    assert len(set(counts)) == len(counts)


def test_the_density_is_the_scalps_area_over_the_boxs():
    # 775 cm2 (J. Soc. Cosmet. Chem. 28 (5), 222, quoting Behrman) over 2.9 cm squared is 92.2.
    assert braids(by_density=True, size="medium") == 92
    # A head 10 % less round has 0.9^2 of the area: 74.6.
    assert braids(by_density=True, size="medium", head_circumference_cm=0.9 * 56) == 75


def test_a_measured_box_width_goes_before_the_word():
    assert braids(by_density=True, size="jumbo", box_width_cm=2.9) == 92
    by_word = take_off(request(by_density=True, size="medium"))
    measured = take_off(request(by_density=True, size="jumbo", box_width_cm=2.9))
    assert measured.minutes == by_word.minutes
    assert measured.hair == by_word.hair


def test_a_measured_width_between_two_sizes_lies_between_them():
    small, between, medium = (
        take_off(request(braids=100, box_width_cm=width)) for width in (2.3, 2.6, 2.9)
    )
    assert small.minutes.mean < between.minutes.mean < medium.minutes.mean
    assert small.hair_grams < between.hair_grams < medium.hair_grams


@pytest.mark.parametrize(("width", "size"), [(1.0, "micro"), (8.0, "jumbo")])
def test_beyond_the_last_size_only_the_count_goes_on(width, size):
    measured, named = (
        take_off(request(braids=60, size=size, box_width_cm=box)) for box in (width, None)
    )
    assert measured.minutes == named.minutes
    assert measured.hair == named.hair
    assert (braids(by_density=True, box_width_cm=width) > braids(by_density=True, size=size)) is (
        size == "micro"
    )


def test_a_smaller_braid_takes_less_time_and_less_hair_each():
    answers = [take_off(request(braids=60, size=size)) for size in sizes()]
    for figure in ("minutes", "hair"):
        each = [
            answer.minutes.mean if figure == "minutes" else answer.hair_grams for answer in answers
        ]
        assert each == sorted(set(each))


def test_the_house_layout_has_two_like_fronts_and_fuller_rows_last():
    answer = take_off(request(by_density=True, size="medium"))
    rows = {}
    for row in answer.rows:
        rows.setdefault(row.section, []).append(row.braids)
    assert rows == {
        "front-left": [4, 4, 4, 4, 5],
        "front-right": [4, 4, 4, 4, 4],
        "back": [8, 8, 8, 9, 9, 9],
    }


def test_a_childs_head_holds_fewer_braids_and_takes_longer_for_each():
    child = {"wearer": Wearer(child=True), "by_density": True, "size": "medium"}
    assert braids(**child) == 76  # 775 (51/56)^2 / 2.9^2
    grown, small = take_off(request()), take_off(request(wearer=Wearer(child=True)))
    assert small.minutes.mean == pytest.approx(1.15 * grown.minutes.mean)


@pytest.mark.parametrize("technique", techniques())
@given(count=st.integers(1, 60))
def test_a_stated_number_is_laid_out_whole(technique, count):
    answer = take_off(request(technique=technique, braids=count, curls=NO_CURLS))
    assert answer.braids == count == sum(row.braids for row in answer.rows)


def test_a_pattern_repeats_its_first_rows():
    section = Section(name="back", pattern=RowPattern(first=(3, 4, 5), rows=5))
    answer = take_off(request(parting=Parting(sections=(section,))))
    assert [row.braids for row in answer.rows] == [3, 4, 5, 3, 4]


def test_curls_grow_towards_crown_and_front():
    rows = take_off(request()).rows  # 4 a braid, one more at crown and front
    assert {row.curls_per_braid for row in rows if row.section != "back"} == {5}
    back = [row.curls_per_braid for row in rows if row.section == "back"]
    assert back == sorted(back)
    assert back[0] == 4
    assert back[-1] == 5
    assert sum(row.curls for row in rows if row.section == "back") == 24 * 4.5


def test_temples_and_nape_get_no_extra_curls():
    sections = (Section(name="temple-left", rows=(2,)), Section(name="nape", rows=(3,)))
    rows = take_off(request(parting=Parting(sections=sections))).rows
    assert [row.curls_per_braid for row in rows] == [4, 4]


def test_a_row_may_state_its_own_curls_and_a_mirror_repeats_them():
    left = Section(name="front-left", rows=(2, 3), curls=(6, 1))
    right = Section(name="front-right", mirror_of="front-left")
    answer = take_off(request(parting=Parting(sections=(left, right))))
    assert [row.curls for row in answer.rows] == [12, 3, 12, 3]


@pytest.mark.parametrize(("fullness", "curls"), [(0.5, 104), (1, 208), (1.25, 260), (3, 624)])
def test_fuller_and_lighter_are_one_factor(fullness, curls):
    plan = CurlPlan(placement=CurlPlacement.ALONG, per_braid=4, crown_and_front_extra=1,
                    fullness=fullness)  # fmt: skip
    assert take_off(request(curls=plan)).curls == pytest.approx(curls, abs=2)


@pytest.mark.parametrize(
    ("name", "region", "side"),
    [
        ("front-left", Region.FRONT, Side.LEFT),
        ("temples-right", Region.TEMPLE, Side.RIGHT),
        ("crown", Region.CROWN, Side.BOTH),
        ("edges", Region.PERIMETER, Side.BOTH),
        ("my-swirl", Region.BACK, Side.BOTH),
    ],
)
def test_a_section_lies_where_its_name_says(name, region, side):
    section = Section(name=name, rows=(2,))
    assert (section.place(), section.half()) == (region, side)
    stated = Section(name=name, rows=(2,), region=Region.NAPE, side=Side.LEFT)
    assert (stated.place(), stated.half()) == (Region.NAPE, Side.LEFT)


def test_a_mirror_with_a_name_of_its_own_lies_across_from_its_original():
    left = Section(name="temple-left", rows=(2,))
    swirl = Section(name="swirl", mirror_of="temple-left")
    assert (swirl.place(left), swirl.half(left)) == (Region.TEMPLE, Side.RIGHT)
    # Temples get no extra curls, and neither does their mirror.
    rows = take_off(request(parting=Parting(sections=(left, swirl)))).rows
    assert [row.curls for row in rows] == [8, 8]


def test_a_new_size_is_counted_anew_and_other_changes_keep_the_parting():
    menu = style()
    assert StyleChange(length_cm=50).applied_to(menu).parting == WORKED_PARTING
    smaller = StyleChange(size="small").applied_to(menu)
    assert (smaller.parting, smaller.braids) == (None, None)
    assert StyleChange(size="small", braids=120).applied_to(menu).braids == 120
    assert StyleChange(braids=50).applied_to(menu).parting is None
    assert StyleChange(parting=WORKED_PARTING).applied_to(style(braids=50)).braids is None


def test_old_braids_are_counted_apart_where_stated():
    same, fewer = (
        take_off(request(take_down=True, take_down_braids=count)) for count in (None, 20)
    )
    assert same.minutes.mean - fewer.minutes.mean == pytest.approx(24 * 0.6)
    with pytest.raises(ValidationError, match="take_down_braids is for a style with a take_down"):
        style(take_down_braids=20)


def test_curls_for_rows_that_are_not_there_are_refused_with_the_section():
    section = Section(name="back", rows=(3, 4), curls=(1, 2, 3))
    with pytest.raises(StyleError) as refused:
        take_off(request(parting=Parting(sections=(section,))))
    (fault,) = refused.value.faults
    assert fault.pointer == "/style/parting/sections/0/curls"
    assert fault.detail == "back has 2 rows and states curls for 3"
