"""The planner against trying everything, on random tiny days."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.booking import Promise
from schemas.daybook import DayBook, Grid
from schemas.plan import Plan, SolveStatus
from schemas.resources import Role
from schemas.work import Performer, Place
from solver.checker import check
from solver.plan import plan_days
from tests.builders import (
    HELP,
    SKILLS,
    a_basin,
    a_booking,
    a_chair,
    a_day_book,
    a_lead,
    a_phase,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    a_wash,
    a_window,
    an_assistant,
    skills,
)
from tests.solver.exhaustive import Exhaustive

STEP = 30
WISHES: dict[str, dict[str, int | str]] = {
    "supervised-apprentice": {"level": 4},
    "no-small-holes": {"minutes": 90, "spare": 30},
    "resource-closed": {"weekday": 2, "since": "09:40", "until": "11:00"},
    "even-shares": {"minutes": 60, "slack": 0},
    "fewest-changes": {},
}
"""House rules made soft beside those of the day, with figures that bite on such short days."""
usually = st.sampled_from((True, True, True, False))
seldom = st.sampled_from((False, False, False, False, False, True))


def clock(step: int) -> str:
    minute = 9 * 60 + step * STEP
    return f"{minute // 60}:{minute % 60:02}"


@st.composite
def tiny_days(draw: st.DrawFn, *, late: bool = False) -> DayBook:
    """One short day on a half-hour grid: up to two leads, an assistant, three visits.

    Where it is `late`, shifts end before closing and overtime is allowed.
    """
    closing = draw(st.integers(6, 10))
    steps = st.integers(0, closing - 2)
    both = draw(st.booleans())
    staff = [
        a_lead(
            f"lead-{number}",
            pace=draw(st.sampled_from((0.8, 1.0, 1.25))),
            roles=(Role.LEAD, Role.ASSISTANT) if both and number else (Role.LEAD,),
            skills=skills(*SKILLS, HELP) if both and number else skills(*SKILLS),
        )
        for number in range(draw(st.integers(1, 2)))
    ]
    if draw(usually):
        staff.append(an_assistant(help_rate=draw(st.sampled_from((0.35, 0.5, 1.0)))))
    shifts = []
    for person in staff:
        start, end = draw(st.integers(0, 1)), draw(st.integers(closing - 2, closing))
        end -= 2 if late else 0
        shifts.append(a_shift(person.id, clock(start), clock(end)))
    visits = [draw(_visits(number, closing, steps)) for number in range(draw(st.integers(1, 3)))]
    rules = [
        a_setting(
            "meal-break",
            after=draw(st.sampled_from((90, 120))),
            minutes=draw(st.sampled_from((20, 30, 60))),
            earliest=draw(st.sampled_from((0, 60))),
            latest=draw(st.sampled_from((90, 120, 150))),
            inside=int(draw(usually)),
        ),
        a_setting("turnaround", minutes=draw(st.sampled_from((10, 30, 45)))),
        a_setting("longest-wait", minutes=draw(st.sampled_from((0, 30, 60)))),
        a_setting(
            "latest-start",
            longer=draw(st.sampled_from((60, 90))),
            after=draw(st.sampled_from(("09:00", "10:00", "11:00"))),
            visit_tags=draw(st.sampled_from(((), ("child",)))),
        ),
        a_setting(
            "at-most-together",
            visits=draw(st.sampled_from((0, 1, 1, 2))),
            visit_tags=("child",),
        ),
        a_setting(
            "overtime",
            hard=False,
            weight=draw(st.sampled_from((0, 1, 7))),
            minutes=draw(st.sampled_from((30, 60, 90) if late else (0, 30, 45))),
        ),
    ]
    return a_day_book(
        visits=visits,
        grid=Grid(minutes=STEP, arrivals=draw(st.sampled_from((30, 60)))),
        open=(a_window("9:00", clock(closing)),),
        staff=tuple(staff),
        shifts=tuple(shifts),
        chairs=tuple(
            a_chair(f"chair-{number}", features=("quiet",) if number else ())
            for number in range(draw(st.integers(1, 2)))
        ),
        basins=(a_basin(),) if draw(usually) else (),
        rules=tuple(rule for rule in rules if draw(usually) or (late and rule.code == "overtime")),
    )


@st.composite
def _visits(draw: st.DrawFn, number: int, closing: int, steps: st.SearchStrategy[int]):
    phases = [
        draw(
            st.sampled_from(
                (
                    a_shared_phase(draw(st.sampled_from((90, 150, 200)))),
                    a_phase(minutes=draw(st.sampled_from((30, 60, 110)))),
                    a_phase(minutes=draw(st.sampled_from((90, 150))), breakable=True),
                )
            )
        )
    ]
    if draw(st.booleans()):
        first = draw(
            st.sampled_from(
                (
                    a_wash(),
                    a_phase("hair-prep", 30, performer=Performer.CREW, place=Place.NOWHERE),
                )
            )
        )
        phases.insert(0, first)
    facts = {
        "phases": tuple(phases),
        "max_assistants": int(draw(usually)),
        "chair_features": ("quiet",) if draw(seldom) else (),
        "tags": ("child",) if draw(st.booleans()) else (),
        "refused_leads": ("lead-0",) if draw(seldom) else (),
    }
    start = draw(steps)
    if draw(seldom):
        return a_booking(
            f"visit-{number}", clock(start), tolerance=draw(st.sampled_from((0, 60))), **facts
        )
    end = draw(st.integers(start + 1, closing))
    windows = (a_window(clock(start), clock(end)),)
    if draw(usually):
        windows = (a_window(clock(0), clock(closing)),)
    return a_request(
        f"visit-{number}", windows=windows, value=draw(st.sampled_from((None, 10, 100))), **facts
    )


@settings(max_examples=40)
@given(tiny_days() | tiny_days(late=True))
def test_the_accepted_value_is_what_trying_everything_gives(day_book: DayBook) -> None:
    best = Exhaustive(day_book).best_value()
    result = plan_days(day_book, seconds=20)
    if best is None:
        assert result.status is SolveStatus.INFEASIBLE
        assert result.findings
        return
    assert result.plan is not None
    assert not [finding for finding in check(day_book, result.plan) if finding.hard]
    value, preferences = result.tiers[:2]
    assert preferences.value == sum(finding.cost for finding in result.findings)
    assert (value.name, value.value, value.bound) == ("accepted-value", best, best)


@settings(max_examples=25)
@given(tiny_days() | tiny_days(late=True), st.data())
def test_what_soft_rules_cost_is_what_the_findings_cost(
    day_book: DayBook, data: st.DataObject
) -> None:
    weights = st.integers(0, 9)
    soft = [
        rule.model_copy(update={"hard": False, "weight": data.draw(weights)})
        for rule in day_book.rules or ()
    ]
    soft += [
        a_setting(code, hard=False, weight=data.draw(weights))
        for code in ("preferred-lead", "preferred-time")
    ]
    soft += [
        a_setting(code, hard=False, weight=data.draw(weights), **figures)
        for code, figures in WISHES.items()
        if data.draw(st.booleans())
    ]
    requests = tuple(
        request.model_copy(
            update={"preferred_lead": "lead-0", "preferred": a_window("10:00", "10:30")}
        )
        for request in day_book.requests
    )
    book = day_book.model_copy(update={"rules": tuple(soft), "requests": requests})
    if data.draw(st.booleans()):
        # What stood at another time, or with somebody who has gone home, may have to change.
        book = _on_the_book(book, plan_days(day_book, seconds=20).plan)
    result = plan_days(book, seconds=20)
    if result.plan is None:
        assert result.status is SolveStatus.INFEASIBLE
        return
    assert result.status is SolveStatus.OPTIMAL
    preferences = result.tiers[1]
    costs = sum(finding.cost for finding in result.findings)
    assert preferences.value == preferences.bound == costs


def _on_the_book(book: DayBook, plan: Plan | None) -> DayBook:
    """The book with the plan's requests as bookings that may come two hours earlier or later."""
    asked = {visit.id: visit for visit in book.requests}
    bookings = tuple(
        a_booking(
            placed.visit,
            phases=asked[placed.visit].phases,
            max_assistants=asked[placed.visit].max_assistants,
            chair_features=asked[placed.visit].chair_features,
            placed=placed,
            tags=asked[placed.visit].tags,
        ).model_copy(update={"promise": Promise(start=placed.window.start, tolerance=120)})
        for placed in (plan.visits if plan else ())
        if placed.visit in asked
    )
    kept = {booking.id for booking in bookings}
    return book.model_copy(
        update={
            "bookings": (*book.bookings, *bookings),
            "requests": tuple(each for each in book.requests if each.id not in kept),
        }
    )


@settings(max_examples=25)
@given(tiny_days() | tiny_days(late=True))
def test_a_published_plan_holds_without_any_search(day_book: DayBook) -> None:
    plan = plan_days(day_book, seconds=20).plan
    if plan is None:
        return
    asked = {visit.id: visit for visit in (*day_book.bookings, *day_book.requests)}
    bookings = tuple(
        a_booking(
            placed.visit,
            lead=placed.lead,
            phases=asked[placed.visit].phases,
            max_assistants=asked[placed.visit].max_assistants,
            chair_features=asked[placed.visit].chair_features,
            placed=placed,
        ).model_copy(update={"promise": Promise(start=placed.window.start, lead=placed.lead)})
        for placed in plan.visits
    )
    book = day_book.model_copy(update={"bookings": bookings, "requests": (), "breaks": plan.breaks})
    again = plan_days(book, seconds=20, stop=lambda: True)
    assert again.plan is not None
    assert [visit.phases for visit in again.plan.visits] == [visit.phases for visit in plan.visits]
