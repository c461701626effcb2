"""The checker judges any plan, tells it in order and in sentences, and never falls over."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.plan import BreakKind, Help, Plan, PlannedBreak, PlannedPhase, PlannedVisit
from schemas.windows import TimeWindow
from solver.checker import check, hard_findings
from solver.errors import RuleError
from solver.rules import RULES
from tests.builders import (
    a_basin,
    a_booking,
    a_chair,
    a_closure,
    a_day_book,
    a_lead,
    a_meal,
    a_phase,
    a_placed,
    a_plan,
    a_planned_phase,
    a_request,
    a_setting,
    a_shared_phase,
    a_shift,
    a_wash,
    a_window,
    an_assistant,
    at,
)
from tests.judging import broken, the_finding


def test_an_empty_plan_of_an_empty_book_draws_no_finding():
    assert check(a_day_book(), a_plan()) == ()


def test_findings_come_rule_by_rule_in_the_order_of_the_register():
    one, two = a_booking("one"), a_booking("two", preferred_lead="lead-2")
    facts = a_day_book(visits=[one, two], staff=(a_lead(), a_lead("lead-2")), rules=None)
    told = [finding.rule for finding in check(facts, a_plan(a_placed(one), a_placed(two)))]
    order = [rule.code for rule in RULES]
    assert told == sorted(told, key=order.index)
    assert set(told) == {"chair-one-client", "hands-one-client", "meal-break", "preferred-lead"}


def test_only_hard_findings_forbid_a_plan():
    visit = a_request(minutes=60, preferred=a_window("15:00", "16:00"))
    facts = a_day_book(visits=[visit], rules=(a_setting("preferred-time", hard=False),))
    plan = a_plan(a_placed(visit))
    assert [finding.rule for finding in check(facts, plan)] == ["preferred-time"]
    assert hard_findings(facts, plan) == ()


def test_a_rule_that_makes_no_sense_is_an_error_and_no_finding():
    with pytest.raises(RuleError):
        check(a_day_book(rules=(a_setting("no-mondays"),)), a_plan())


def test_times_are_told_on_the_salons_clock():
    # 9:00 in Lisbon in July is 8:00 UTC.
    day = date(2026, 7, 1)
    visit = a_booking(day=day)
    facts = a_day_book(
        visits=[visit],
        open=(a_window("9:00", "12:00", day),),
        shifts=(a_shift(day=day),),
    )
    finding = the_finding("opening-hours", facts, a_plan(a_placed(visit, day=day)))
    assert "09:00 to 13:00 on Wednesday 1 July 2026" in finding.detail
    assert finding.window.start.utcoffset() == timedelta(hours=1)


def test_a_visit_over_the_end_of_summer_time_keeps_its_true_length():
    # On 2026-10-25 at 2:00 the clocks of Lisbon go back to 1:00: 0:00 to 4:00 lasts five hours.
    night = date(2026, 10, 25)
    visit = a_booking(start="0:00", minutes=300, day=night)
    facts = a_day_book(
        visits=[visit],
        open=(a_window("0:00", "8:00", night),),
        shifts=(a_shift("lead-1", "0:00", "8:00", night),),
    )
    true = [a_planned_phase("0:00", "4:00", day=night)]
    wall = [a_planned_phase("0:00", "5:00", day=night)]
    assert check(facts, a_plan(a_placed(visit, phases=true))) == ()
    assert broken(facts, a_plan(a_placed(visit, phases=wall))) == {"work-done"}


def test_a_visit_past_midnight_is_told_with_both_dates():
    visit = a_booking(start="22:00", minutes=300)
    plan = a_plan(a_placed(visit, "22:00"))
    detail = the_finding("within-shift", a_day_book(visits=[visit]), plan).detail
    assert "22:00 on Tuesday 1 December 2026 to 03:00 on Wednesday 2 December 2026" in detail


def test_long_names_do_not_push_out_the_times():
    visits = [a_booking(name, client="N" * 200) for name in ("one", "two")]
    facts = a_day_book(visits=visits)
    plan = a_plan(*(a_placed(visit) for visit in visits))
    for finding in check(facts, plan):
        assert "09:00" in finding.detail
        assert finding.detail.endswith(".")


class TestDamage:
    """Any plan the documents allow gets an answer, whatever it says."""

    day_book = a_day_book(
        visits=[
            a_booking("booking-1", lead="lead-1", latest_finish="15:00"),
            a_booking("booking-2", "10:00", phases=(a_wash(), a_shared_phase(120))),
            a_request("request-1", phases=(a_wash(), a_shared_phase(120), a_phase("finish", 30))),
            a_request("request-2", preferred_lead="lead-1", preferred=a_window("10:00", "11:00")),
        ],
        chairs=(a_chair(), a_chair("chair-2", retired=True)),
        basins=(a_basin(),),
        closures=(a_closure("12:00", "13:00"),),
        staff=(a_lead(), an_assistant()),
        rules=None,
    )
    noon = at("12:00")
    ids = st.sampled_from(["booking-1", "booking-2", "request-1", "request-2", "ghost"])
    people = st.sampled_from(["lead-1", "assistant-1", "ghost"])
    kinds = st.sampled_from(["wash", "braiding", "finish", "ghost"])
    windows = st.builds(
        lambda start, length: TimeWindow(
            start=TestDamage.noon + timedelta(minutes=start),
            end=TestDamage.noon + timedelta(minutes=start + length),
        ),
        st.integers(-3000, 3000),
        st.integers(1, 2000),
    )
    helps = st.builds(Help, staff=people, window=windows)
    phases = st.builds(
        PlannedPhase,
        kind=kinds,
        window=windows,
        performer=people,
        basin=st.sampled_from([None, "basin-1", "ghost"]),
        help=st.lists(helps, max_size=3),
    )
    visits = st.builds(
        PlannedVisit,
        visit=ids,
        chair=st.sampled_from([None, "chair-1", "chair-2", "ghost"]),
        lead=people,
        window=windows,
        phases=st.lists(phases, min_size=1, max_size=4),
    )
    breaks = st.builds(
        PlannedBreak,
        staff=people,
        kind=st.sampled_from(BreakKind),
        window=windows,
        inside=st.none() | ids,
    )
    plans = st.builds(
        Plan,
        visits=st.lists(visits, max_size=5),
        breaks=st.lists(breaks, max_size=4),
        declined=st.lists(ids, max_size=4),
    )

    @settings(max_examples=150, deadline=None)
    @given(plan=plans)
    def test_every_plan_gets_findings_and_never_an_exception(self, plan):
        for finding in check(self.day_book, plan):
            assert finding.detail
            assert finding.remedy
            assert finding.visits or finding.staff

    @settings(max_examples=100, deadline=None)
    @given(plan=plans)
    def test_the_order_in_which_a_plan_lists_things_changes_no_verdict(self, plan):
        turned = Plan(
            visits=plan.visits[::-1], breaks=plan.breaks[::-1], declined=plan.declined[::-1]
        )
        assert broken(self.day_book, plan) == broken(self.day_book, turned)


def test_a_break_as_long_as_its_phase_hides_no_work():
    # Two hours of break in two hours of braiding leave four hours of work undone.
    visit = a_booking(phases=(a_shared_phase(240),))
    facts = a_day_book(visits=[visit])
    plan = a_plan(
        a_placed(visit, phases=[a_planned_phase("9:00", "11:00")]),
        breaks=[a_meal("9:00", "11:00", inside="booking-1")],
    )
    assert "work-done" in broken(facts, plan)
