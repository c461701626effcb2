"""Every client sits in a chair that is in use, is open and has what she needs."""

from __future__ import annotations

from schemas.work import Place
from tests.builders import (
    a_booking,
    a_chair,
    a_closure,
    a_day_book,
    a_phase,
    a_placed,
    a_plan,
    a_wash,
)
from tests.judging import findings_of, the_finding

CODE = "fitting-chair"


def judge(visit, chair="chair-1", **facts):
    return findings_of(
        CODE, a_day_book(visits=[visit], **facts), a_plan(a_placed(visit, chair=chair))
    )


def test_a_chair_with_every_feature_asked_for_fits():
    visit = a_booking(chair_features=("quiet", "step-free"))
    chair = a_chair(features=("step-free", "quiet", "child-height"))
    assert judge(visit, chairs=(chair,)) == ()


def test_one_feature_short_is_a_breach_that_names_it():
    visit = a_booking(chair_features=("quiet", "step-free"))
    (finding,) = judge(visit, chairs=(a_chair(features=("step-free",)),))
    assert finding.detail.startswith("Booking-1 needs a chair that is quiet; Chair 1 is not")


def test_a_retired_chair_is_a_breach():
    (finding,) = judge(a_booking(), chairs=(a_chair(retired=True),))
    assert "not in use" in finding.detail


def test_a_chair_nobody_knows_is_a_breach():
    (finding,) = judge(a_booking(), chair="ghost")
    assert "“ghost” (no chair of that id)" in finding.detail


def test_a_visit_in_the_chair_without_one_is_a_breach():
    (finding,) = judge(a_booking(), chair=None)
    assert "needs a chair and has none" in finding.detail


def test_a_wash_keeps_the_chair_too():
    (finding,) = judge(a_booking(phases=(a_wash(),)), chair=None)
    assert "needs a chair and has none" in finding.detail


def test_hands_alone_have_no_chair():
    by_hand = a_booking(phases=(a_phase("hair-prep", 60, place=Place.NOWHERE),))
    assert judge(by_hand, chair=None) == ()
    assert "needs no chair" in judge(by_hand)[0].detail


def test_a_closure_that_only_touches_the_visit_is_fine():
    closures = (a_closure("7:00", "9:00"), a_closure("13:00", "19:00"))
    assert judge(a_booking(), closures=closures) == ()


def test_a_closure_for_one_minute_of_the_visit_is_a_breach_with_its_reason():
    (finding,) = judge(a_booking(), closures=(a_closure("12:59", "19:00"),))
    assert "closed (broken hydraulics) from 12:59" in finding.detail


def test_a_closure_of_another_chair_is_no_matter():
    chairs = (a_chair(), a_chair("chair-2"))
    assert (
        judge(a_booking(), chairs=chairs, closures=(a_closure("9:00", "19:00", "chair-2"),)) == ()
    )


def test_a_short_closure_after_a_long_one_is_seen():
    closures = (a_closure("8:00", "8:30"), a_closure("12:00", "12:05"), a_closure("18:00", "19:00"))
    assert (
        "from 12:00"
        in the_finding(
            CODE,
            a_day_book(visits=[a_booking()], closures=closures),
            a_plan(a_placed(a_booking())),
        ).detail
    )
