"""A client who prefers a lead gets her."""

from __future__ import annotations

from tests.builders import a_booking, a_day_book, a_lead, a_placed, a_plan, a_request, a_setting
from tests.judging import findings_of, the_finding

CODE = "preferred-lead"


def judged(visit, lead, rules=None):
    facts = a_day_book(visits=[visit], staff=(a_lead(), a_lead("lead-2")), rules=rules)
    return facts, a_plan(a_placed(visit, lead=lead))


def test_the_preferred_lead_costs_nothing():
    assert findings_of(CODE, *judged(a_request(preferred_lead="lead-2"), "lead-2")) == ()


def test_another_lead_costs_the_house_weight_and_forbids_nothing():
    finding = the_finding(CODE, *judged(a_request(preferred_lead="lead-2"), "lead-1"))
    assert (finding.hard, finding.cost) == (False, 20)
    assert "would rather have Lead-2 and gets Lead-1" in finding.detail


def test_a_booking_may_prefer_as_well():
    assert len(findings_of(CODE, *judged(a_booking(preferred_lead="lead-2"), "lead-1"))) == 1


def test_who_prefers_nobody_is_content():
    assert findings_of(CODE, *judged(a_request(), "lead-1")) == ()


def test_a_house_may_make_it_hard():
    rules = (a_setting(CODE),)
    finding = the_finding(CODE, *judged(a_request(preferred_lead="lead-2"), "lead-1", rules))
    assert (finding.hard, finding.cost) == (True, 0)


def test_the_rule_concerns_only_visits_of_its_tags():
    rules = (a_setting(CODE, visit_tags=("bridal",)),)
    assert findings_of(CODE, *judged(a_request(preferred_lead="lead-2"), "lead-1", rules)) == ()
