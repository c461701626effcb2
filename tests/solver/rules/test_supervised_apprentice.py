"""An apprentice braids only beside a lead."""

from __future__ import annotations

import pytest

from schemas.resources import Role
from schemas.work import Performer
from tests.builders import (
    HELP,
    SKILLS,
    a_booking,
    a_day_book,
    a_help,
    a_lead,
    a_phase,
    a_placed,
    a_plan,
    a_planned_phase,
    a_setting,
    a_shared_phase,
    a_wash,
    an_assistant,
    skills,
)
from tests.judging import findings_of, the_finding

CODE = "supervised-apprentice"
ANA = an_assistant("ana", skills=skills(*SKILLS, HELP, level=2))
BEA = an_assistant("bea", skills=skills(*SKILLS, HELP, level=3))
LEAH = a_lead("leah", roles=(Role.LEAD, Role.ASSISTANT), skills=skills(*SKILLS, HELP))
EVERYBODY = (a_lead(), ANA, BEA, LEAH)


def braided(performer, *help_, setting=None, work=None, staff=EVERYBODY, **facts):
    """An hour of braiding that anybody of the crew may do, from nine."""
    work = work or a_shared_phase(60, performer=Performer.CREW)
    visit = a_booking("one", phases=(work,), max_assistants=3, **facts)
    phase = a_planned_phase("9:00", "10:00", work.kind, performer, help_=help_, basin="basin-1")
    book = a_day_book(visits=[visit], staff=staff, rules=(setting or a_setting(CODE),))
    return book, a_plan(a_placed(visit, phases=[phase]))


def test_an_apprentice_who_braids_alone_is_told_by_name():
    finding = the_finding(CODE, *braided("ana"))
    assert (finding.visits, finding.staff) == (("one",), ("ana",))
    assert "Ana is an apprentice and works at One's braiding with no lead beside her" in (
        finding.detail
    )
    assert "9:00 to 10:00 on Tuesday 1 December 2026" in finding.detail


def test_somebody_of_exactly_the_level_may_braid_alone():
    assert findings_of(CODE, *braided("bea")) == ()


def test_an_apprentice_may_help_a_lead():
    assert findings_of(CODE, *braided("lead-1", a_help("9:00", "9:30", "ana"))) == ()


def test_an_apprentice_may_not_help_somebody_who_is_no_lead():
    finding = the_finding(CODE, *braided("bea", a_help("9:15", "9:30", "ana")))
    assert finding.staff == ("ana",)


@pytest.mark.parametrize(("end", "breaches"), [("10:00", 0), ("9:55", 1)])
def test_a_lead_who_helps_is_beside_her_only_if_she_helps_throughout(end, breaches):
    found = findings_of(CODE, *braided("ana", a_help("9:00", end, "leah")))
    assert len(found) == breaches


def test_a_lead_below_the_level_is_an_apprentice_herself():
    young = a_lead("lead-1", skills=skills(*SKILLS, level=2))
    book = braided("lead-1", a_help("9:00", "9:30", "ana"), staff=(young, ANA, BEA, LEAH))
    assert [finding.staff for finding in findings_of(CODE, *book)] == [("lead-1",), ("ana",)]


def test_tags_say_who_is_an_apprentice_whatever_her_level():
    setting = a_setting(CODE, staff_tags=("apprentice",))
    tagged = an_assistant("bea", skills=BEA.skills, tags=("apprentice",))
    assert findings_of(CODE, *braided("ana", setting=setting)) == ()
    staff = (a_lead(), ANA, tagged, LEAH)
    assert the_finding(CODE, *braided("bea", setting=setting, staff=staff)).staff == ("bea",)


def test_only_the_kind_of_phase_is_looked_at():
    wash = a_wash(60)
    assert findings_of(CODE, *braided("ana", work=wash)) == ()
    assert (
        len(findings_of(CODE, *braided("ana", work=wash, setting=a_setting(CODE, kind="wash"))))
        == 1
    )


def test_the_rule_concerns_only_visits_of_its_tags():
    setting = a_setting(CODE, visit_tags=("bridal",))
    assert findings_of(CODE, *braided("ana", setting=setting)) == ()
    assert len(findings_of(CODE, *braided("ana", setting=setting, tags=("bridal",)))) == 1


def test_a_soft_rule_costs_its_weight_for_each_apprentice():
    setting = a_setting(CODE, hard=False, weight=3)
    cora = an_assistant("cora", skills=ANA.skills)
    book = braided(
        "ana", a_help("9:00", "9:30", "cora"), setting=setting, staff=(a_lead(), ANA, BEA, cora)
    )
    assert [finding.cost for finding in findings_of(CODE, *book)] == [3, 3]


def test_a_stranger_is_another_rules_affair():
    assert findings_of(CODE, *braided("ghost", work=a_phase(minutes=60))) == ()
