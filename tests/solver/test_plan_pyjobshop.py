"""The planner against PyJobShop, which writes a model of its own (see `tests.benchmarks`).

It is asked for by name where it is installed; without it these tests are skipped.
"""

from __future__ import annotations

import importlib.util
import sys

import pytest

from schemas.booking import Booking, Promise
from schemas.daybook import DayBook, Grid
from schemas.plan import Plan, SolveStatus, Tier
from solver.plan import plan_days
from tests.benchmarks.pyjobshop_day import plan_with_pyjobshop
from tests.benchmarks.pyjobshop_model import MISSING
from tests.benchmarks.salon_days import salon_days
from tests.builders import (
    HELP,
    a_day_book,
    a_lead,
    a_phase,
    a_request,
    a_setting,
    a_shift,
    skills,
)

needs_it = pytest.mark.skipif(
    not all(map(importlib.util.find_spec, ("pyjobshop", "fjsplib", "psplib"))),
    reason=MISSING,
)


def test_a_machine_without_the_library_is_told_how_to_get_it(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setitem(sys.modules, "pyjobshop", None)
    with pytest.raises(RuntimeError, match="pip install"):
        plan_with_pyjobshop(salon_days("S", 1), 1, 1)


def without_help(seed: int) -> DayBook:
    """A generated day whose assistants take down, wash and finish but do not braid.

    PyJobShop cannot say help for a part of the braiding; all else in such a day it says in full.
    """
    book = salon_days("S", seed)
    staff = tuple(
        person.model_copy(
            update={"skills": tuple(skill for skill in person.skills if skill.tag != HELP)}
        )
        for person in book.staff
    )
    return book.model_copy(update={"staff": staff})


def accepted(book: DayBook) -> Tier:
    """What our planner accepts, without the tiers after it."""
    heard = set[str]()
    result = plan_days(
        book,
        seconds=20,
        on_progress=lambda progress: heard.add(progress.tier),
        stop=lambda: bool(heard - {"accepted-value"}),
    )
    return result.tiers[0]


@needs_it
@pytest.mark.parametrize("seed", range(4))
def test_without_help_both_prove_the_same_accepted_value(seed: int) -> None:
    book = without_help(seed)
    theirs, ours = plan_with_pyjobshop(book, 20, 1, inside=True), accepted(book)
    assert not theirs.findings
    assert theirs.value == theirs.bound
    assert theirs.value < sum(request.value or 0 for request in book.requests)
    assert (ours.value, ours.bound) == (theirs.value, theirs.bound)


@needs_it
@pytest.mark.parametrize("seed", range(2))
def test_its_plans_with_help_break_no_rule_and_could_be_ours(seed: int) -> None:
    book = salon_days("S", seed)
    theirs = plan_with_pyjobshop(book, 3, 1, inside=seed == 1, parts=(12, 24))
    assert not theirs.findings
    assert theirs.value is not None
    ours = plan_days(book, seconds=1).tiers[0]
    assert theirs.value <= ours.bound
    assert theirs.plan is not None
    # What it placed we would place as well: as it stands, and with starts and leads alone given.
    stands = booked(book, theirs.plan, as_placed=True)
    assert plan_days(stands, seconds=10, stop=lambda: True).plan is not None
    heard = set[str]()
    result = plan_days(
        booked(book, theirs.plan, as_placed=False),
        seconds=20,
        on_progress=lambda progress: heard.add(progress.tier),
        stop=lambda: bool(heard),
    )
    assert result.plan is not None


def booked(book: DayBook, plan: Plan, *, as_placed: bool) -> DayBook:
    """The plan's visits as promises of their starts and leads, placed or not; no other requests."""
    asked = {request.id: request for request in book.requests}
    bookings = tuple(
        Booking(
            **asked[visit.visit].model_dump(exclude={"windows", "preferred", "value"}),
            promise=Promise(start=visit.window.start, lead=visit.lead),
            placed=visit if as_placed else None,
        )
        for visit in plan.visits
    )
    breaks = plan.breaks if as_placed else ()
    return book.model_copy(update={"bookings": bookings, "requests": (), "breaks": breaks})


def finish(work: int, rest: tuple[int, int], *, breakable: bool) -> int:
    """Minutes from the opening to the end of one visit of one lead with one break at a set time."""
    start, end = rest
    book = a_day_book(
        visits=[a_request(phases=(a_phase(minutes=work, breakable=breakable),))],
        grid=Grid(minutes=5, arrivals=5),
        staff=(a_lead(skills=skills("braiding")),),
        shifts=(a_shift(start="9:00", end="19:00"),),
        rules=(
            a_setting("meal-break", after=1, minutes=end - start, earliest=start, latest=start),
        ),
    )
    result = plan_days(book, seconds=10)
    assert result.status is SolveStatus.OPTIMAL
    assert result.plan is not None
    assert result.plan.visits
    (last,) = (tier.value for tier in result.tiers if tier.name == "last-finish")
    return last


def shop_finish(work: int, rest: tuple[int, int], *, breakable: bool) -> int:
    """The same on one machine with one break."""
    pyjobshop = pytest.importorskip("pyjobshop")
    model = pyjobshop.Model()
    hands = model.add_machine(breaks=[rest])
    task = model.add_task(allow_breaks=breakable)
    model.add_mode(task, hands, work)
    return round(model.solve(display=False, num_workers=1).objective)


@needs_it
@pytest.mark.parametrize(
    ("work", "rest", "breakable", "end"),
    [
        pytest.param(300, (240, 270), True, 330, id="the break stretches it"),
        pytest.param(300, (240, 270), False, 570, id="it waits for the break to be over"),
        pytest.param(240, (240, 270), False, 240, id="it ends as the break begins"),
        pytest.param(245, (240, 270), True, 275, id="five minutes are left after the break"),
        pytest.param(30, (0, 60), True, 90, id="the break comes first"),
        pytest.param(480, (60, 120), True, 540, id="a long break early on"),
    ],
)
def test_a_break_at_a_set_time_ends_the_work_when_theirs_does(
    work: int, rest: tuple[int, int], breakable: bool, end: int
) -> None:
    assert shop_finish(work, rest, breakable=breakable) == end
    assert finish(work, rest, breakable=breakable) == end
