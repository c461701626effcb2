"""Two clients never share a basin at one time, and washing names its basin."""

from __future__ import annotations

from schemas.plan import PlannedPhase
from tests.builders import (
    a_basin,
    a_chair,
    a_day_book,
    a_lead,
    a_phase,
    a_placed,
    a_plan,
    a_planned_phase,
    a_request,
    a_wash,
)
from tests.judging import findings_of, the_finding

CODE = "basin-one-client"


def washes(*names):
    return tuple(a_request(name, phases=(a_wash(30),)) for name in names)


def book(*visits, basins=("basin-1",)):
    return a_day_book(
        visits=visits,
        staff=(a_lead(), a_lead("lead-2")),
        chairs=(a_chair(), a_chair("chair-2")),
        basins=tuple(a_basin(name) for name in basins),
    )


def test_washes_that_only_touch_share_a_basin():
    one, two = washes("one", "two")
    plan = a_plan(a_placed(one, "9:00"), a_placed(two, "9:30", lead="lead-2", chair="chair-2"))
    assert findings_of(CODE, book(one, two), plan) == ()


def test_two_heads_in_one_basin_are_named():
    one, two = washes("one", "two")
    plan = a_plan(a_placed(one, "9:00"), a_placed(two, "9:25", lead="lead-2", chair="chair-2"))
    finding = the_finding(CODE, book(one, two), plan)
    assert finding.visits == ("one", "two")
    assert finding.detail.startswith("One and Two are both at Basin 1, 09:25 to 09:30")


def test_two_basins_serve_two_heads():
    one, two = washes("one", "two")
    plan = a_plan(
        a_placed(one, "9:00"),
        a_placed(two, "9:00", lead="lead-2", chair="chair-2", basin="basin-2"),
    )
    assert findings_of(CODE, book(one, two, basins=("basin-1", "basin-2")), plan) == ()


def test_washing_that_names_no_basin_is_a_breach():
    (one,) = washes("one")
    phases: list[PlannedPhase] = [a_planned_phase("9:00", "9:30", "wash")]
    finding = the_finding(CODE, book(one), a_plan(a_placed(one, phases=phases)))
    assert "needs a basin and names none" in finding.detail


def test_a_basin_nobody_knows_is_a_breach():
    (one,) = washes("one")
    plan = a_plan(a_placed(one, basin="ghost"))
    assert "“ghost”" in the_finding(CODE, book(one), plan).detail


def test_the_chair_alone_needs_no_basin():
    one = a_request("one", phases=(a_phase(minutes=60),))
    assert findings_of(CODE, book(one, basins=()), a_plan(a_placed(one))) == ()
