"""Everybody does what she masters, in the role she has."""

from __future__ import annotations

from schemas.resources import Role
from schemas.work import Performer
from tests.builders import (
    HELP,
    a_booking,
    a_day_book,
    a_help,
    a_lead,
    a_phase,
    a_placed,
    a_plan,
    a_planned_phase,
    a_shared_phase,
    an_assistant,
    skills,
)
from tests.judging import findings_of, the_finding

CODE = "skilled-hands"


def crew_phase(**changes):
    return a_phase("wash", 30, performer=Performer.CREW, **changes)


def done_by(visit, performer, *, lead="lead-1", help_=()):
    (work,) = visit.phases
    end = {30: "9:30", 240: "13:00"}[work.minutes]
    phase = a_planned_phase("9:00", end, work.kind, performer, help_=help_)
    return a_plan(a_placed(visit, phases=[phase], lead=lead))


def test_a_lead_who_masters_the_skill_at_exactly_its_level_may():
    visit = a_booking(phases=(a_phase(minutes=240, level=3),))
    book = a_day_book(visits=[visit], staff=(a_lead(skills=skills("braiding", level=3)),))
    assert findings_of(CODE, book, done_by(visit, "lead-1")) == ()


def test_one_level_less_is_a_breach():
    visit = a_booking(phases=(a_phase(minutes=240, level=4),))
    book = a_day_book(visits=[visit], staff=(a_lead(skills=skills("braiding", level=3)),))
    finding = the_finding(CODE, book, done_by(visit, "lead-1"))
    assert "does not master braiding at level 4" in finding.detail
    assert finding.staff == ("lead-1",)


def test_an_assistant_may_perform_a_phase_of_the_crew():
    visit = a_booking(phases=(crew_phase(),))
    assert findings_of(CODE, a_day_book(visits=[visit]), done_by(visit, "assistant-1")) == ()


def test_an_assistant_may_not_perform_a_phase_of_the_lead():
    visit = a_booking(phases=(a_phase("wash", 30),))
    finding = the_finding(CODE, a_day_book(visits=[visit]), done_by(visit, "assistant-1"))
    assert "is for the lead, Lead-1, and is given to Assistant-1" in finding.detail


def test_another_lead_is_no_assistant():
    visit = a_booking(phases=(crew_phase(),))
    book = a_day_book(visits=[visit], staff=(a_lead(), a_lead("lead-2")))
    assert "Lead-2 is no assistant" in the_finding(CODE, book, done_by(visit, "lead-2")).detail


def test_another_lead_who_is_also_an_assistant_may_assist():
    visit = a_booking(phases=(crew_phase(),))
    both = a_lead("lead-2", roles=(Role.LEAD, Role.ASSISTANT))
    book = a_day_book(visits=[visit], staff=(a_lead(), both))
    assert findings_of(CODE, book, done_by(visit, "lead-2")) == ()


def test_an_assistant_leads_no_visit():
    visit = a_booking(phases=(crew_phase(),))
    plan = done_by(visit, "assistant-1", lead="assistant-1")
    assert "who is no lead" in the_finding(CODE, a_day_book(visits=[visit]), plan).detail


def test_a_helper_masters_the_help_skill():
    visit = a_booking(phases=(a_shared_phase(240),))
    plan = done_by(visit, "lead-1", help_=[a_help("9:00", "10:00")])
    unable = an_assistant(skills=skills("wash"))
    assert findings_of(CODE, a_day_book(visits=[visit]), plan) == ()
    book = a_day_book(visits=[visit], staff=(a_lead(), unable))
    assert f"does not master {HELP}" in the_finding(CODE, book, plan).detail


def test_no_more_assistants_than_the_client_agreed_to():
    crew = (a_lead(), an_assistant(), an_assistant("assistant-2"))
    two_helpers = [a_help("9:00", "10:00"), a_help("10:00", "11:00", "assistant-2")]
    for most, breaches in ((2, 0), (1, 1)):
        visit = a_booking(phases=(a_shared_phase(240),), max_assistants=most)
        plan = done_by(visit, "lead-1", help_=two_helpers)
        findings = findings_of(CODE, a_day_book(visits=[visit], staff=crew), plan)
        assert len(findings) == breaches
    assert findings[0].remedy.startswith("Leave out 1 of them")


def test_one_assistant_in_two_duties_counts_once():
    visit = a_booking(phases=(crew_phase(), a_shared_phase(240)), max_assistants=1)
    phases = [
        a_planned_phase("9:00", "9:30", "wash", "assistant-1"),
        a_planned_phase("9:30", "13:00", help_=[a_help("9:30", "10:30")]),
    ]
    plan = a_plan(a_placed(visit, phases=phases))
    assert findings_of(CODE, a_day_book(visits=[visit]), plan) == ()


def test_the_required_lead_and_no_other():
    visit = a_booking(required_lead="lead-2")
    book = a_day_book(visits=[visit], staff=(a_lead(), a_lead("lead-2")))
    finding = the_finding(CODE, book, done_by(visit, "lead-1"))
    assert "asked for Lead-2 and no other lead, and gets Lead-1" in finding.detail
    assert findings_of(CODE, book, done_by(visit, "lead-2", lead="lead-2")) == ()


def test_a_refused_lead_is_a_breach():
    visit = a_booking(refused_leads=("lead-1",))
    finding = the_finding(CODE, a_day_book(visits=[visit]), done_by(visit, "lead-1"))
    assert "refused Lead-1" in finding.detail


def test_somebody_who_left_the_salon_works_no_more():
    visit = a_booking()
    book = a_day_book(visits=[visit], staff=(a_lead(retired=True),))
    assert "does not work here" in the_finding(CODE, book, done_by(visit, "lead-1")).detail


def test_nor_does_an_assistant_who_left():
    visit = a_booking(phases=(crew_phase(),))
    book = a_day_book(visits=[visit], staff=(a_lead(), an_assistant(retired=True)))
    finding = the_finding(CODE, book, done_by(visit, "assistant-1"))
    assert "Assistant-1 is on Booking-1's crew and does not work here" in finding.detail
