"""Every visit is answered once, and gets its phases in order and in their true length."""

from __future__ import annotations

import pytest

from schemas.booking import BookingStatus
from schemas.plan import BreakKind
from tests.builders import (
    a_booking,
    a_day_book,
    a_help,
    a_lead,
    a_meal,
    a_phase,
    a_placed,
    a_plan,
    a_planned_phase,
    a_request,
    a_shared_phase,
    a_window,
    an_assistant,
)
from tests.judging import findings_of, the_finding

CODE = "work-done"


def judge(visit, phases, *, breaks=(), **facts):
    plan = a_plan(a_placed(visit, phases=phases), breaks=breaks)
    return findings_of(CODE, a_day_book(visits=[visit], **facts), plan)


class TestLength:
    """`duration = work + break inside - help at its rate`, rounded up to the grid."""

    @pytest.mark.parametrize(
        ("minutes", "pace", "end"),
        [
            (240, 1.0, "13:00"),
            (240, 1.1, "13:25"),  # 264 min, up to the grid of 5: 265
            (100, 0.95, "10:35"),  # 95 min exactly: nothing to round
            (61, 1.0, "10:05"),  # 61 min, up to 65
            (200, 1.005, "12:25"),  # 1.005 counts as 1.01: 202 min, up to 205
            (200, 1.0049, "12:20"),  # 1.0049 counts as 1.00
        ],
    )
    def test_work_takes_the_performers_pace_rounded_up_to_the_grid(self, minutes, pace, end):
        visit = a_request(phases=(a_phase(minutes=minutes),))
        staff = (a_lead(pace=pace),)
        assert judge(visit, [a_planned_phase("9:00", end)], staff=staff) == ()

    @pytest.mark.parametrize("end", ["12:55", "13:05"])
    def test_a_phase_too_short_or_too_long_is_told_with_its_due_end(self, end):
        (finding,) = judge(a_request(minutes=240), [a_planned_phase("9:00", end)])
        lasts = {"12:55": 235, "13:05": 245}[end]
        assert f"lasts {lasts} min, 09:00 to {end} on" in finding.detail
        assert "it takes 240 min (240 min of work)" in finding.detail
        assert finding.remedy == "Let it end at 13:00 on Tuesday 1 December 2026."

    def test_help_shortens_by_its_rate(self):
        # 240 min, less half of 160 min: 160 min.
        phase = a_planned_phase("9:00", "11:40", help_=[a_help("9:00", "11:40")])
        assert judge(a_request(phases=(a_shared_phase(240),)), [phase]) == ()

    def test_help_and_a_break_inside_add_up(self):
        # 240 + 30 - 80 = 190 min; the assistant goes on while the lead eats.
        phase = a_planned_phase("9:00", "12:10", help_=[a_help("9:00", "11:40")])
        meal = a_meal("11:00", "11:30", inside="request-1")
        assert judge(a_request(phases=(a_shared_phase(240),)), [phase], breaks=[meal]) == ()

    def test_the_figures_of_help_and_break_are_told(self):
        phase = a_planned_phase("9:00", "12:15", help_=[a_help("9:00", "11:40")])
        meal = a_meal("11:00", "11:30", inside="request-1")
        visit = a_request(phases=(a_shared_phase(240),))
        (finding,) = judge(visit, [phase], breaks=[meal])
        figures = "240 min of work + 30 min of break, less 160 min of help at its rate"
        assert finding.detail.endswith(f"it takes 190 min ({figures}).")

    def test_a_shared_phase_without_help_tells_none(self):
        visit = a_request(phases=(a_shared_phase(240),))
        (finding,) = judge(visit, [a_planned_phase("9:00", "12:00")])
        assert finding.detail.endswith("it takes 240 min (240 min of work).")

    def test_help_is_rounded_once_in_favour_of_the_work(self):
        # 240 min less 0.33 of 100 min is 207 min, up to 210.
        staff = (a_lead(), an_assistant(help_rate=0.33))
        phase = a_planned_phase("9:00", "12:30", help_=[a_help("9:00", "10:40")])
        assert judge(a_request(phases=(a_shared_phase(240),)), [phase], staff=staff) == ()

    def test_help_of_two_assistants_adds_up(self):
        # 240 min less half of 120 and a quarter of 120: 150 min.
        staff = (a_lead(), an_assistant(), an_assistant("assistant-2", help_rate=0.25))
        helping = [a_help("9:00", "11:00"), a_help("9:30", "11:30", "assistant-2")]
        phase = a_planned_phase("9:00", "11:30", help_=helping)
        visit = a_request(phases=(a_shared_phase(240),), max_assistants=2)
        assert judge(visit, [phase], staff=staff) == ()

    def test_a_break_without_help_stretches_by_its_length(self):
        visit = a_request(phases=(a_shared_phase(240),))
        phase = a_planned_phase("9:00", "13:30")
        meal = a_meal("11:00", "11:30", inside="request-1")
        assert judge(visit, [phase], breaks=[meal]) == ()
        assert len(judge(visit, [phase])) == 1

    def test_a_break_written_twice_stretches_once(self):
        visit = a_request(phases=(a_shared_phase(240),))
        meals = [a_meal("11:00", "11:30", inside="request-1")] * 2
        assert judge(visit, [a_planned_phase("9:00", "14:00")], breaks=meals)

    def test_a_rest_break_inside_stretches_as_a_meal_does(self):
        visit = a_request(phases=(a_shared_phase(240),))
        rest = a_meal("11:00", "11:10", inside="request-1", kind=BreakKind.REST)
        assert judge(visit, [a_planned_phase("9:00", "13:10")], breaks=[rest]) == ()

    def test_a_break_of_the_assistant_does_not_stretch_the_leads_work(self):
        visit = a_request(phases=(a_shared_phase(240),))
        meal = a_meal("11:00", "11:30", "assistant-1")
        assert judge(visit, [a_planned_phase("9:00", "13:00")], breaks=[meal]) == ()


class TestOrder:
    """Phases in the visit's order, one after the other, as long as the visit's window."""

    visit = a_request(phases=(a_phase("wash", 30), a_phase("braiding", 60)))

    def test_a_wait_between_phases_is_no_breach_here(self):
        phases = [a_planned_phase("9:00", "9:30", "wash"), a_planned_phase("10:00", "11:00")]
        assert judge(self.visit, phases) == ()

    def test_phases_that_overlap_are_told(self):
        phases = [a_planned_phase("9:00", "9:30", "wash"), a_planned_phase("9:25", "10:25")]
        (finding,) = judge(self.visit, phases)
        assert "braiding starts at 09:25" in finding.detail
        assert finding.window == a_window("9:25", "9:30")

    def test_swapped_phases_are_told(self):
        phases = [a_planned_phase("9:00", "10:00"), a_planned_phase("10:00", "10:30", "wash")]
        (finding,) = judge(self.visit, phases)
        assert "work is wash, braiding; the plan has braiding, wash" in finding.detail

    def test_a_missing_phase_is_told_and_the_others_keep_their_length(self):
        (finding,) = judge(self.visit, [a_planned_phase("9:00", "10:00")])
        assert "the plan has braiding" in finding.detail

    def test_an_invented_phase_is_told(self):
        phases = [
            a_planned_phase("9:00", "9:30", "wash"),
            a_planned_phase("9:30", "10:30"),
            a_planned_phase("10:30", "11:00", "finish"),
        ]
        assert len(judge(self.visit, phases)) == 1

    def test_two_phases_of_one_kind_keep_their_own_lengths(self):
        visit = a_request(phases=(a_phase(minutes=60), a_phase(minutes=30)))
        phases = [a_planned_phase("9:00", "10:00"), a_planned_phase("10:00", "10:30")]
        assert judge(visit, phases) == ()

    def test_a_window_that_is_not_that_of_the_phases_is_told(self):
        visit = a_request(minutes=60)
        placed = a_placed(visit).model_copy(update={"window": a_window("9:00", "9:45")})
        finding = the_finding(CODE, a_day_book(visits=[visit]), a_plan(placed))
        assert "written down as 09:00 to 09:45" in finding.detail


class TestHelp:
    """Help is one stretch per assistant, inside a shared phase."""

    def test_help_in_a_phase_that_is_not_shared_is_told(self):
        phase = a_planned_phase("9:00", "13:00", help_=[a_help("9:00", "10:00")])
        (finding,) = judge(a_request(minutes=240), [phase])
        assert "which is not shared" in finding.detail

    def test_help_past_the_phase_is_told(self):
        # 240 - 80 = 160 min, until 11:40; help of 160 min that ends at 11:45.
        phase = a_planned_phase("9:00", "11:40", help_=[a_help("9:05", "11:45")])
        (finding,) = judge(a_request(phases=(a_shared_phase(240),)), [phase])
        assert "outside its time" in finding.detail

    def test_help_in_two_stretches_is_told(self):
        helping = [a_help("9:00", "10:00"), a_help("10:30", "11:30")]
        phase = a_planned_phase("9:00", "12:00", help_=helping)
        (finding,) = judge(a_request(phases=(a_shared_phase(240),)), [phase])
        assert "a second time" in finding.detail


class TestBreakInside:
    """A break said to lie inside a visit lies in a breakable phase of that person."""

    def test_a_break_inside_somebody_elses_phase_is_told(self):
        visit = a_request(phases=(a_shared_phase(240),))
        meal = a_meal("11:00", "11:30", "assistant-1", inside="request-1")
        (finding,) = judge(visit, [a_planned_phase("9:00", "13:00")], breaks=[meal])
        assert "is said to lie inside Request-1's visit" in finding.detail

    def test_a_break_inside_a_visit_nobody_knows_is_told(self):
        meal = a_meal("11:00", "11:30", inside="ghost")
        finding = the_finding(CODE, a_day_book(), a_plan(breaks=[meal]))
        assert "“ghost”" in finding.detail


class TestAnswered:
    """Every visit that asks is placed once or declined."""

    def test_a_request_that_is_forgotten_is_told(self):
        finding = the_finding(CODE, a_day_book(visits=[a_request()]), a_plan())
        assert finding.detail == "Request-1 is neither placed nor declined."

    def test_a_request_that_is_declined_is_answered(self):
        plan = a_plan(declined=["request-1"])
        assert findings_of(CODE, a_day_book(visits=[a_request()]), plan) == ()

    def test_a_tentative_booking_is_answered_as_well(self):
        facts = a_day_book(visits=[a_booking(status=BookingStatus.TENTATIVE)])
        assert len(findings_of(CODE, facts, a_plan())) == 1

    def test_a_cancelled_booking_asks_for_nothing(self):
        facts = a_day_book(visits=[a_booking(status=BookingStatus.CANCELLED)])
        assert findings_of(CODE, facts, a_plan()) == ()

    def test_a_visit_placed_twice_is_told(self):
        visit = a_request(minutes=60)
        plan = a_plan(a_placed(visit, "9:00"), a_placed(visit, "14:00"))
        finding = the_finding(CODE, a_day_book(visits=[visit]), plan)
        assert "placed 2 times" in finding.detail
        assert "again from 14:00" in finding.detail

    def test_a_visit_both_placed_and_declined_is_told(self):
        visit = a_request(minutes=60)
        plan = a_plan(a_placed(visit), declined=["request-1"])
        finding = the_finding(CODE, a_day_book(visits=[visit]), plan)
        assert "is declined and also placed" in finding.detail

    def test_strangers_placed_or_declined_are_told(self):
        plan = a_plan(a_placed(a_request("ghost")), declined=["spirit"])
        findings = findings_of(CODE, a_day_book(), plan)
        assert [finding.visits for finding in findings] == [("ghost",), ("spirit",)]

    def test_a_visit_declined_twice_is_told(self):
        plan = a_plan(declined=["request-1", "request-1"])
        finding = the_finding(CODE, a_day_book(visits=[a_request()]), plan)
        assert "is declined 2 times" in finding.detail
