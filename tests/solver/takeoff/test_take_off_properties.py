"""What holds for every style: never shorter or lighter for more, and sums that close."""

from math import fsum

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from schemas.hair import HairRole
from schemas.style import CurlPlacement, CurlPlan, Parting, Section, Wearer
from solver.errors import StyleError
from solver.takeoff import house_materials, sizes, take_off, techniques
from tests.solver.takeoff.heads import request

WITH_CURLS = [name for name in techniques() if name not in ("sew-in", "crochet")]
PACK = {material.id: material.pack_grams for material in house_materials()}

few = settings(max_examples=60)

curl_plans = st.one_of(
    st.just(CurlPlan()),
    st.builds(
        CurlPlan,
        placement=st.sampled_from([CurlPlacement.ALONG, CurlPlacement.ENDS]),
        per_braid=st.integers(1, 6),
        crown_and_front_extra=st.integers(0, 3),
        fullness=st.floats(0.25, 3),
    ),
)
rows = st.lists(st.integers(1, 9), min_size=1, max_size=7).map(tuple)


@st.composite
def partings(draw):
    named = draw(st.lists(st.sampled_from(["front", "crown", "back", "nape"]), min_size=1,
                          max_size=4, unique=True))  # fmt: skip
    sections = [Section(name=name, rows=draw(rows)) for name in named]
    if draw(st.booleans()):
        temple = Section(name="temple-left", rows=draw(rows))
        sections += [temple, Section(name="temple-right", mirror_of="temple-left")]
    return Parting(sections=tuple(sections))


@st.composite
def asked(draw, **fixed):
    """Requests of many kinds, by density, by number or by parting."""
    count = draw(st.sampled_from(["density", "braids", "parting"]))
    facts = {
        "technique": draw(st.sampled_from(WITH_CURLS)),
        "size": draw(st.sampled_from(sizes())),
        "length_cm": draw(st.floats(10, 110)),
        "curls": draw(curl_plans),
        "wash": draw(st.booleans()),
        "take_down": draw(st.booleans()),
        "hot_water_set": draw(st.booleans()),
        "wearer": Wearer(child=draw(st.booleans())),
        "pace": draw(st.floats(0.5, 1.5)),
        "percentile": draw(st.integers(50, 99)),
        "parting": None,
    }
    if count == "parting":
        facts["parting"] = draw(partings())
    elif count == "braids":
        top = 55 if facts["technique"] in ("cornrow", "feed-in") else 150
        facts["braids"] = draw(st.integers(1, top))
    return facts | fixed


def answered(facts):
    """The take-off, unless the style is refused: two days' work or five kilos are no one visit."""
    try:
        return take_off(request(**facts))
    except StyleError as refused:
        if [fault.pointer for fault in refused.faults] != ["/style"]:
            raise
        assume(False)


def no_less(less, more):
    """Every figure of `more` is at least that of `less`."""
    a, b = answered(less), answered(more)
    slack = 1 - 1e-12
    assert b.minutes.mean >= a.minutes.mean * slack
    assert b.minutes.p50 >= a.minutes.p50 * slack
    assert b.minutes.p95 >= a.minutes.p95 * slack
    assert b.minutes.booked >= a.minutes.booked
    for few, many in zip(a.crews, b.crews, strict=True):
        assert many.booked >= few.booked
    assert sum(phase.minutes for phase in b.phases) >= sum(phase.minutes for phase in a.phases)
    assert b.curls >= a.curls
    assert b.hair_grams >= a.hair_grams * slack
    packs = {line.role: 0 for line in a.hair}
    for sign, answer in ((-1, a), (1, b)):
        for line in answer.hair:
            packs[line.role] = packs.get(line.role, 0) + sign * line.packs
    assert all(more_packs >= 0 for more_packs in packs.values())
    return a, b


@few
@given(facts=asked(), braids=st.integers(1, 54), further=st.integers(1, 20))
def test_more_braids_never_shorten_or_lighten(facts, braids, further):
    facts |= {"parting": None, "braids": braids}
    most = 60 if facts["technique"] in ("cornrow", "feed-in") else 300
    a, b = no_less(facts, facts | {"braids": min(most, braids + further)})
    assert b.braids > a.braids


@few
@given(facts=asked(), plan=curl_plans, per_braid=st.integers(0, 3), extra=st.integers(0, 2),
       fuller=st.floats(1, 1.5))  # fmt: skip
def test_more_or_fuller_curls_never_shorten_or_lighten(facts, plan, per_braid, extra, fuller):
    more = plan.model_dump()
    if plan.placement is not CurlPlacement.NONE:
        more["per_braid"] += per_braid
        more["crown_and_front_extra"] += extra
        more["fullness"] = min(3.0, plan.fullness * fuller)
    no_less(facts | {"curls": plan}, facts | {"curls": CurlPlan.model_validate(more)})


@few
@given(facts=asked(), longer=st.floats(0, 40))
def test_more_length_never_shortens_or_lightens(facts, longer):
    no_less(facts, facts | {"length_cm": facts["length_cm"] + longer})


@few
@given(facts=asked(), slower=st.floats(1, 2))
def test_a_slower_pace_never_shortens(facts, slower):
    no_less(facts, facts | {"pace": facts["pace"] * slower})


@few
@given(facts=asked(), pace=st.floats(0.5, 2))
def test_phases_for_a_day_book_do_not_depend_on_the_leads_pace(facts, pace):
    # A planner multiplies them by the pace of whoever performs them.
    answer, other = answered(facts), answered(facts | {"pace": pace})
    assert answer.phases == other.phases


@few
@given(facts=asked())
def test_the_parts_add_up_to_the_whole(facts):
    answer = answered(facts)
    assert fsum(line.amount for line in answer.lines) == answer.minutes.mean
    assert fsum(line.amount for line in answer.hair_lines) == answer.hair_grams
    for line in (*answer.lines, *answer.hair_lines):
        assert line.quantity * line.rate == line.amount
    assert answer.hair_grams == pytest.approx(fsum(line.grams for line in answer.hair), rel=1e-12)
    assert answer.minutes.mean == pytest.approx(fsum(p.mean for p in answer.phase_minutes))
    assert sum(row.braids for row in answer.rows) == answer.braids
    assert sum(row.curls for row in answer.rows) == answer.curls
    braiding = fsum(
        line.amount
        for line in answer.lines
        if line.phase == "braiding" and line.section != "braiding"
    )
    assert fsum(row.minutes for row in answer.rows) == pytest.approx(braiding)


@few
@given(facts=asked(pace=1.0))
def test_the_phases_add_up_to_what_the_desk_books_at_house_pace(facts):
    answer = answered(facts)
    assert sum(phase.minutes for phase in answer.phases) == answer.minutes.booked
    assert all(phase.minutes % 5 == 0 for phase in answer.phases)
    assert answer.minutes.booked >= answer.minutes.p50
    assert [phase.kind for phase in answer.phases] == [p.kind for p in answer.phase_minutes]


@few
@given(facts=asked())
def test_packs_cover_the_grams_and_one_fewer_does_not(facts):
    for line in answered(facts).hair:
        assert line.packs * PACK[line.material] >= line.grams - 1e-6
        assert (line.packs - 1) * PACK[line.material] < line.grams
        assert line.left_over_grams == pytest.approx(
            line.packs * PACK[line.material] - line.grams, abs=1e-6
        )


@few
@given(boxes=rows, curls=curl_plans)
def test_mirrored_sections_are_equal(boxes, curls):
    left = Section(name="front-left", rows=boxes)
    right = Section(name="front-right", mirror_of="front-left")
    answer = take_off(request(parting=Parting(sections=(left, right)), curls=curls))
    one, other = (
        [
            (row.row, row.braids, row.curls, row.minutes)
            for row in answer.rows
            if row.section == name
        ]
        for name in ("front-left", "front-right")
    )
    assert one == other


@few
@given(facts=asked(), shares=st.lists(st.integers(1, 20), min_size=1, max_size=2))
def test_mixed_colours_take_at_least_what_one_colour_takes_and_a_strand_each_more_at_most(
    facts, shares
):
    facts |= {"technique": "knotless", "length_cm": 60.0}
    colours = ("black", "brown")[: len(shares)]
    hair = [
        {"role": "fill", "material": f"fill-kinky-{colour}-26", "share": share / sum(shares)}
        for colour, share in zip(colours, shares, strict=True)
    ]
    alone = [{"role": "fill", "material": "fill-kinky-black-26"}]
    mixed, plain = (
        [line for line in answered(facts | {"hair": named}).hair
         if line.role is HairRole.FILL]
        for named in (hair, alone)
    )  # fmt: skip
    strands = sum(line.strands for line in mixed)
    assert plain[0].strands <= strands < plain[0].strands + len(mixed)
