"""What a plan gives: the arithmetic of work, the goals in order, and the honesty of the answer."""

from __future__ import annotations

import threading

import pytest

from schemas.booking import BookingStatus
from schemas.plan import Plan, PlannedVisit, PlanResult, SolveStatus
from schemas.resources import Role
from schemas.rules import Finding
from schemas.work import Performer, Place
from solver import plan as planning
from solver.checker import check
from solver.errors import DayBookError
from solver.plan import PlanRejected, Progress, plan_days
from tests.benchmarks.salon_days import salon_days
from tests.builders import (
    HELP,
    a_booking,
    a_chair,
    a_closure,
    a_day_book,
    a_lead,
    a_phase,
    a_placed,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    a_wash,
    a_window,
    an_assistant,
    at,
    skills,
)


def placed(result: PlanResult, visit: str) -> PlannedVisit:
    assert result.plan is not None
    return next(planned for planned in result.plan.visits if planned.visit == visit)


def values(result: PlanResult) -> dict[str, int]:
    return {tier.name: tier.value for tier in result.tiers}


def test_a_break_inside_braiding_stretches_it() -> None:
    # The lead eats from 13:00 to 13:30 and at no other time: 300 min of work end at 14:30.
    book = a_day_book(
        visits=[a_booking(phases=(a_shared_phase(300),), max_assistants=0)],
        rules=(a_setting("meal-break", minutes=30, earliest=240, latest=240),),
    )
    result = plan_days(book)
    assert placed(result, "booking-1").window == a_window("9:00", "14:30")
    assert result.plan is not None
    hers = [planned for planned in result.plan.breaks if planned.staff == "lead-1"]
    assert [(meal.window, meal.inside) for meal in hers] == [
        (a_window("13:00", "13:30"), "booking-1")
    ]


def test_a_phase_that_allows_no_break_comes_after_it() -> None:
    # Shift 9 to 18, the break at 13:00 sharp: 300 unbroken minutes fit from 13:30 only.
    book = a_day_book(
        visits=[a_request(minutes=270)],
        rules=(a_setting("meal-break", minutes=30, earliest=240, latest=240),),
    )
    assert placed(plan_days(book), "request-1").window == a_window("13:30", "18:00")


def test_help_shortens_braiding_by_its_rate() -> None:
    # 240 min with help of 0.5 all along: d + 0.5 d = 240, d = 160.
    book = a_day_book(visits=[a_booking(phases=(a_shared_phase(240),))])
    (phase,) = placed(plan_days(book), "booking-1").phases
    assert phase.window == a_window("9:00", "11:40")
    assert [(help_.staff, help_.window.minutes) for help_ in phase.help] == [("assistant-1", 160)]


def test_two_assistants_shorten_more_than_one() -> None:
    # d + 0.5 d + 0.5 d = 240, d = 120.
    staff = (a_lead(), an_assistant("assistant-1"), an_assistant("assistant-2"))
    book = a_day_book(
        visits=[a_booking(phases=(a_shared_phase(240),), max_assistants=2)], staff=staff
    )
    assert placed(plan_days(book), "booking-1").window == a_window("9:00", "11:00")


def test_an_assistant_serves_two_heads_in_one_morning() -> None:
    # Each 180 min must end by 11:45 from 9:00 (165 min): 15 min saved take 30 min of help each.
    staff = (a_lead("lead-1"), a_lead("lead-2"), an_assistant())
    bookings = [
        a_booking(f"booking-{n}", latest_finish="11:45", phases=(a_shared_phase(180),), lead=lead)
        for n, lead in enumerate(("lead-1", "lead-2"))
    ]
    book = a_day_book(visits=bookings, staff=staff, chairs=(a_chair(), a_chair("chair-2")))
    result = plan_days(book)
    helped = [phase.help for n in (0, 1) for phase in placed(result, f"booking-{n}").phases]
    assert all(helped)


def test_pace_is_the_performers_and_rounded_up_to_the_grid() -> None:
    # 100 min at 1.13 are 113, on five minutes 115.
    book = a_day_book(visits=[a_booking(minutes=100)], staff=(a_lead(pace=1.13),))
    assert placed(plan_days(book), "booking-1").window == a_window("9:00", "10:55")


def test_a_crew_phase_goes_to_an_assistant_while_the_lead_is_elsewhere() -> None:
    wash = a_wash(30)
    book = a_day_book(
        visits=[
            a_booking("braid", "9:00", 120),
            a_booking("wash", "9:00", phases=(wash,)),
        ],
        chairs=(a_chair(), a_chair("chair-2")),
        staff=(a_lead(), an_assistant(roles=(Role.ASSISTANT,))),
    )
    (phase,) = placed(plan_days(book), "wash").phases
    assert (phase.performer, phase.basin) == ("assistant-1", "basin-1")


def test_hands_alone_take_no_chair() -> None:
    prep = a_phase("hair-prep", 30, performer=Performer.CREW, place=Place.NOWHERE)
    result = plan_days(a_day_book(visits=[a_booking(phases=(prep,))], chairs=()))
    assert placed(result, "booking-1").chair is None
    assert result.peak_chairs == 0


def test_the_worthier_requests_are_accepted() -> None:
    book = a_day_book(
        visits=[
            a_request("long", 540, value=100),
            a_request("short", 240, value=60),
            a_request("other", 240, value=60),
        ]
    )
    result = plan_days(book)
    assert result.plan is not None
    assert result.plan.declined == ("long",)
    assert values(result)["accepted-value"] == 120


def test_a_tentative_booking_may_be_declined_and_a_cancelled_one_is_left_out() -> None:
    book = a_day_book(
        visits=[
            a_booking("firm", "9:00"),
            a_booking("unsure", "10:00", status=BookingStatus.TENTATIVE),
            a_booking("gone", "15:00", status=BookingStatus.CANCELLED),
        ]
    )
    result = plan_days(book)
    assert result.plan is not None
    assert [visit.visit for visit in result.plan.visits] == ["firm"]
    assert result.plan.declined == ("unsure",)


def test_preferences_come_after_value_and_before_an_early_finish() -> None:
    book = a_day_book(
        visits=[a_request(minutes=60, preferred=a_window("15:00", "16:00"))],
        rules=(a_setting("preferred-time", hard=False, weight=1),),
    )
    result = plan_days(book)
    assert placed(result, "request-1").window == a_window("15:00", "16:00")
    assert values(result)["preferences"] == 0


def test_the_preferences_tier_is_what_the_soft_findings_cost() -> None:
    book = a_day_book(
        visits=[
            a_request("one", 60, preferred=a_window("9:00", "9:30"), preferred_lead="lead-1"),
            a_request("two", 60, preferred=a_window("9:00", "9:30"), preferred_lead="lead-2"),
        ],
        rules=None,
    )
    result = plan_days(book)
    # One chair: the later one starts an hour and a turnaround in, 45 min past its window.
    assert values(result)["preferences"] == sum(finding.cost for finding in result.findings) == 23


def test_visits_keep_the_chairs_they_had() -> None:
    bookings = []
    for number, chair in enumerate(("chair-3", "chair-1", "chair-2")):
        bare = a_booking(f"booking-{number}", minutes=60, lead=f"lead-{number}")
        bookings.append(
            bare.model_copy(update={"placed": a_placed(bare, chair=chair, lead=f"lead-{number}")})
        )
    book = a_day_book(
        visits=bookings,
        chairs=tuple(a_chair(f"chair-{number}") for number in (1, 2, 3)),
        staff=tuple(a_lead(f"lead-{number}") for number in (0, 1, 2)),
    )
    result = plan_days(book)
    chairs = {visit.visit: visit.chair for visit in result.plan.visits} if result.plan else {}
    assert chairs == {"booking-0": "chair-3", "booking-1": "chair-1", "booking-2": "chair-2"}


def test_the_peak_counts_clients_and_not_turnarounds() -> None:
    book = a_day_book(
        visits=[a_booking("one", "9:00", 60), a_booking("two", "10:00", 60)],
        chairs=(a_chair(), a_chair("chair-2")),
        rules=(a_setting("turnaround", minutes=10),),
    )
    assert plan_days(book).peak_chairs == 1


def test_promises_that_collide_are_named_with_their_times() -> None:
    book = a_day_book(
        visits=[
            a_booking("early", "9:00", 240, lead="lead-1", client="Ana"),
            a_booking("clash", "11:00", 120, lead="lead-1", client="Bea"),
            a_booking("apart", "15:00", 60, client="Cleo"),
        ],
        chairs=(a_chair(), a_chair("chair-2")),
    )
    result = plan_days(book)
    assert (result.status, result.plan) == (SolveStatus.INFEASIBLE, None)
    (finding,) = result.findings
    assert (finding.rule, finding.hard) == ("promise-kept", True)
    assert set(finding.visits) == {"early", "clash"}
    for words in ("Ana (from 09:00, with Lead-1)", "Bea (from 11:00, with Lead-1)", "2 of the 3"):
        assert words in finding.detail


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        pytest.param({"start": "20:00"}, "promise-kept", id="after closing"),
        pytest.param({"lead": "assistant-1"}, "promise-kept", id="promised one who is no lead"),
        pytest.param({"chair_features": ("quiet",)}, "fitting-chair", id="no quiet chair"),
        pytest.param({"phases": (a_phase("locs"),)}, "skilled-hands", id="a skill that nobody has"),
    ],
)
def test_a_promise_that_cannot_hold_by_itself_names_its_rule(
    change: dict[str, object], rule: str
) -> None:
    result = plan_days(a_day_book(visits=[a_booking(**change)]))
    assert result.status is SolveStatus.INFEASIBLE
    assert rule in {finding.rule for finding in result.findings}


def test_a_shift_without_room_for_its_break_is_named() -> None:
    book = a_day_book(
        rules=(a_setting("meal-break", after=60, earliest=600, latest=700),),
        staff=(a_lead(name="Lea"),),
    )
    result = plan_days(book)
    assert result.status is SolveStatus.INFEASIBLE
    (finding,) = result.findings
    assert finding.rule == "meal-break"
    assert "Lea" in finding.detail


def test_the_same_seed_gives_the_same_plan() -> None:
    book = salon_days("S", 2)
    first, second = (plan_days(book, seconds=30, seed=7) for _ in range(2))
    assert first.status is SolveStatus.OPTIMAL
    assert first == second


def test_a_plan_that_is_not_proved_best_in_its_time_says_so() -> None:
    result = plan_days(salon_days("M", 1), seconds=1.0)
    assert result.plan is not None
    assert result.status is SolveStatus.FEASIBLE


def test_a_stop_before_the_start_is_not_lost() -> None:
    result = plan_days(salon_days("M", 1), seconds=60, stop=lambda: True)
    assert result.status in {SolveStatus.OUT_OF_TIME, SolveStatus.FEASIBLE}


def test_a_stop_on_the_way_gives_the_best_plan_so_far() -> None:
    told = threading.Event()
    book = salon_days("M", 1)
    result = plan_days(book, seconds=60, on_progress=lambda _: told.set(), stop=told.is_set)
    assert result.status is SolveStatus.FEASIBLE
    assert result.plan is not None
    assert not [finding for finding in check(book, result.plan) if finding.hard]


def test_progress_gets_better_and_its_fraction_never_falls() -> None:
    heard: list[Progress] = []
    result = plan_days(salon_days("S", 2), seconds=20, on_progress=heard.append)
    value = [progress.value for progress in heard if progress.tier == "accepted-value"]
    assert value == sorted(value)
    assert value[-1] == values(result)["accepted-value"]
    fractions = [progress.fraction for progress in heard]
    assert fractions == sorted(fractions)
    assert 0 <= fractions[0] <= fractions[-1] <= 1


def test_an_error_of_the_listener_reaches_the_caller() -> None:
    def refuse(progress: Progress) -> None:
        raise RuntimeError("no more")

    with pytest.raises(RuntimeError, match="no more"):
        plan_days(salon_days("S", 1), on_progress=refuse)


def test_a_plan_with_a_hard_finding_never_leaves(monkeypatch: pytest.MonkeyPatch) -> None:
    broken = Finding(rule="work-done", hard=True, sentence="No.", detail="No.", remedy="None.")

    def judge(book: object, plan: Plan) -> tuple[Finding, ...]:
        return (broken,)

    monkeypatch.setattr(planning, "check", judge)
    with pytest.raises(PlanRejected) as raised:
        plan_days(a_day_book(visits=[a_booking()]))
    assert raised.value.findings == (broken,)


def test_work_that_is_not_stated_is_refused_with_its_place() -> None:
    bare = a_request().model_copy(update={"phases": ()})
    with pytest.raises(DayBookError) as raised:
        plan_days(a_day_book().model_copy(update={"requests": (bare,)}))
    assert [fault.pointer for fault in raised.value.faults] == ["/requests/0/phases"]


def test_a_lead_who_also_assists_is_in_one_place_at_a_time() -> None:
    both = a_lead(
        "both", roles=(Role.LEAD, Role.ASSISTANT), skills=skills("braiding", HELP), help_rate=1.0
    )
    book = a_day_book(
        visits=[
            a_booking("hers", "9:00", 120, lead="both"),
            a_booking("other", "9:00", lead="lead-1", phases=(a_shared_phase(240),)),
        ],
        staff=(a_lead(), both),
        chairs=(a_chair(), a_chair("chair-2")),
    )
    (phase,) = placed(plan_days(book), "other").phases
    # She helps from 11:00, when her own client is done: 120 min alone, 60 min together.
    assert phase.window == a_window("9:00", "12:00")
    assert [help_.window for help_ in phase.help] == [a_window("11:00", "12:00")]


def test_a_closed_chair_is_kept_clear() -> None:
    book = a_day_book(visits=[a_request(minutes=240)], closures=(a_closure("9:00", "13:00"),))
    assert placed(plan_days(book), "request-1").window.start == at("13:00")


def test_a_person_works_in_each_of_her_shifts_and_not_between() -> None:
    book = a_day_book(
        visits=[a_request(f"request-{n}", 180) for n in range(3)],
        staff=(a_lead(),),
        shifts=(a_shift("lead-1", "9:00", "12:30"), a_shift("lead-1", "14:00", "17:30")),
    )
    result = plan_days(book)
    assert result.plan is not None
    assert len(result.plan.visits) == 2
    assert values(result)["accepted-value"] == 360
