"""The parting map."""

from itertools import combinations
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.style import CurlPlacement, CurlPlan, Parting, Section
from solver.errors import StyleError
from solver.takeoff import take_off, techniques
from solver.takeoff.case import Case
from solver.takeoff.drawing import parting_map
from solver.takeoff.headmap import CENTRE, boxes_of
from solver.takeoff.parting import lay_out
from solver.takeoff.rates import rate_book
from solver.takeoff.sizes import size_figures
from solver.takeoff.techniques import TECHNIQUE_BY_ID
from tests.solver.takeoff.heads import request, style

SVG = "{http://www.w3.org/2000/svg}"
WHOLE = Parting(
    sections=(
        Section(name="perimeter", rows=(20,)),
        Section(name="front-left", rows=(2, 3, 3)),
        Section(name="front-right", mirror_of="front-left"),
        Section(name="temple-left", rows=(1, 2)),
        Section(name="temple-right", mirror_of="temple-left"),
        Section(name="crown", rows=(5, 6)),
        Section(name="back", rows=(5, 5, 6)),
        Section(name="nape", rows=(4,)),
    )
)


def drawn(**changes):
    return ET.fromstring(parting_map(style(**changes)))  # noqa: S314  our own image


def sections(image):
    return {group.get("data-section"): group for group in image.iter(f"{SVG}g")}


def laid_out(**changes):
    asked, rates = style(**changes), rate_book()
    technique = TECHNIQUE_BY_ID[asked.technique]
    return lay_out(Case(asked, technique, size_figures(asked.size, None, rates), rates))


def inside(point, corners):
    """Ray casting: an odd number of sides lies to the right of the point."""
    x, y = point
    odd = False
    for (u, v), (s, t) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if (v > y) != (t > y) and x < u + (y - v) * (s - u) / (t - v):
            odd = not odd
    return odd


@pytest.mark.parametrize("technique", techniques())
def test_every_braid_has_one_box(technique):
    curls = CurlPlan()
    image = drawn(technique=technique, by_density=True, size="medium", curls=curls)
    answer = take_off(request(technique=technique, by_density=True, size="medium", curls=curls))
    for name, group in sections(image).items():
        braids = sum(row.braids for row in answer.rows if row.section == name)
        assert len(group.findall(f"{SVG}polygon")) == braids


def test_every_curl_has_one_dot():
    image, answer = drawn(), take_off(request())
    fill = {"curl": "#a33b20", "root": "#3a2a1c"}
    dots = [circle for group in sections(image).values() for circle in group.iter(f"{SVG}circle")]
    assert sum(dot.get("fill") == fill["curl"] for dot in dots) == answer.curls == 208
    assert sum(dot.get("fill") == fill["root"] for dot in dots) == answer.braids == 44


def test_every_row_carries_its_number():
    numbers = {
        name: [text.text for text in group.iter(f"{SVG}text")]
        for name, group in sections(drawn()).items()
    }
    assert numbers == {
        "front-left": ["1", "2", "3", "4"],
        "front-right": ["1", "2", "3", "4"],
        "back": ["1", "2", "3", "4", "5", "6", "7"],
    }


def test_the_picture_says_in_words_what_it_shows():
    image = drawn()
    assert image.get("role") == "img"
    named = image.get("aria-labelledby").split()
    words = {image.find(f"{SVG}{tag}").get("id"): image.find(f"{SVG}{tag}").text
             for tag in ("title", "desc")}  # fmt: skip
    assert set(named) == set(words)
    assert "44 braids, 208 curls" in words[named[0]]
    assert "back, brick lay: boxes by row 3, 4, 3, 4, 3, 4, 3" in words[named[1]]


def test_a_name_with_markup_stays_text():
    image = drawn(name='<script>alert("x")</script> & more')
    assert not list(image.iter(f"{SVG}script"))
    assert '<script>alert("x")</script> & more' in image.find(f"{SVG}title").text


@pytest.mark.parametrize("name", ["\uffff", "\ufffe x", "\x9b", "\u202e", "\U0001f451", "]]>"])
def test_any_name_makes_a_sound_image(name):
    assert len(list(drawn(name=name).iter(f"{SVG}text"))) > 10


def test_the_image_holds_no_style_script_or_address():
    # A page whose policy forbids inline styles and scripts shows it as it is.
    words = parting_map(style(parting=WHOLE))
    for forbidden in ("style=", "<style", "<script", " on", "href", "url(", "<image", "<foreign"):
        assert forbidden not in words.replace("boxes by row", "")
    assert words.count("http") == 1  # the name space alone


def test_rows_towards_forehead_and_nape_are_not_squeezed():
    plan = CurlPlan(placement=CurlPlacement.ALONG, per_braid=3)
    small = boxes_of(laid_out(by_density=True, size="small", curls=plan))
    narrowest = min(box.room for rows in small.values() for row in rows for box in row)
    middle = small["back"][3][5].room
    assert 2 * narrowest >= 14
    assert narrowest > middle / 3


def test_boxes_do_not_overlap_and_hold_their_root():
    boxes = [
        box for rows in boxes_of(laid_out(parting=WHOLE)).values() for row in rows for box in row
    ]
    assert len(boxes) == sum(sum(part.rows) for part in laid_out(parting=WHOLE))
    for box in boxes:
        assert inside(box.root, box.corners)
        assert box.room > 0
    for one, other in combinations(boxes, 2):
        assert not inside(one.root, other.corners)
        assert not inside(other.root, one.corners)


def test_left_is_left_front_is_up_and_a_mirror_is_a_mirror():
    boxes = boxes_of(laid_out(parting=WHOLE))
    for name in ("front", "temple"):
        for left, right in zip(boxes[f"{name}-left"], boxes[f"{name}-right"], strict=True):
            for one, other in zip(left, reversed(right), strict=True):
                assert one.root[0] < CENTRE < other.root[0]
                assert one.root[0] + other.root[0] == pytest.approx(2 * CENTRE)
                assert one.root[1] == pytest.approx(other.root[1])
    heights = [boxes[name][0][0].root[1] for name in ("front-left", "crown", "back", "nape")]
    assert heights == sorted(heights)
    assert boxes["front-left"][0][0].root[1] < boxes["front-left"][-1][0].root[1]
    assert boxes["back"][0][0].root[1] > boxes["back"][-1][0].root[1]


def test_a_brick_lay_puts_each_braid_in_a_gap_of_the_row_before():
    (rows,) = boxes_of(laid_out(parting=Parting(sections=(Section(name="back", rows=(3, 4)),)))
                       ).values()  # fmt: skip
    lower, upper = ([box.root[0] for box in row] for row in rows)
    assert all(a < b < c for a, b, c in zip(upper, lower, upper[1:], strict=False))
    even = Section(name="crown", rows=(4, 4), lay="brick")
    straight = Section(name="crown", rows=(4, 4), lay="grid")
    for section, same in ((even, False), (straight, True)):
        (rows,) = boxes_of(laid_out(parting=Parting(sections=(section,)))).values()
        edges = [min(x for x, _ in row[1].corners) for row in rows]
        assert (abs(edges[0] - edges[1]) < 12) is same


@settings(max_examples=15)
@given(
    rows=st.lists(st.integers(1, 60), min_size=1, max_size=30),
    curls=st.integers(0, 40),
    technique=st.sampled_from(["knotless", "cornrow", "faux-locs"]),
)
def test_any_parting_can_be_drawn(rows, curls, technique):
    plan = CurlPlan(placement=CurlPlacement.ALONG, per_braid=curls) if curls else CurlPlan()
    parting = Parting(sections=(Section(name="my-own", rows=rows),))
    image = drawn(technique=technique, parting=parting, curls=plan)
    assert len(sections(image)["my-own"].findall(f"{SVG}polygon")) == sum(rows)
    assert "nan" not in ET.tostring(image, encoding="unicode")


def test_a_style_that_cannot_be_taken_off_cannot_be_drawn():
    with pytest.raises(StyleError):
        parting_map(style(technique="macrame"))
