"""No client waits too long between two phases."""

from __future__ import annotations

from tests.builders import (
    a_day_book,
    a_phase,
    a_placed,
    a_plan,
    a_planned_phase,
    a_request,
    a_setting,
    a_window,
)
from tests.judging import findings_of, the_finding

CODE = "longest-wait"


def judged(second, *, setting=None, tags=()):
    request = a_request(phases=(a_phase("wash", 30), a_phase(minutes=60)), tags=tags)
    facts = a_day_book(visits=[request], rules=(setting or a_setting(CODE),))
    phases = [a_planned_phase("9:00", "9:30", "wash"), a_planned_phase(*second)]
    return facts, a_plan(a_placed(request, phases=phases))


def test_exactly_the_longest_wait_is_fine():
    assert findings_of(CODE, *judged(("9:45", "10:45"))) == ()


def test_five_minutes_more_are_told_with_both_phases():
    finding = the_finding(CODE, *judged(("9:50", "10:50")))
    assert "waits 20 min between wash and braiding" in finding.detail
    assert finding.remedy.startswith("Start braiding by 09:45")
    assert finding.window == a_window("9:30", "9:50")


def test_phases_back_to_back_may_be_demanded():
    setting = a_setting(CODE, minutes=0)
    assert findings_of(CODE, *judged(("9:30", "10:30"), setting=setting)) == ()
    assert len(findings_of(CODE, *judged(("9:35", "10:35"), setting=setting))) == 1


def test_the_rule_concerns_only_visits_of_its_tags():
    setting = a_setting(CODE, visit_tags=("child",))
    assert findings_of(CODE, *judged(("12:00", "13:00"), setting=setting)) == ()
    late = judged(("12:00", "13:00"), setting=setting, tags=("child",))
    assert len(findings_of(CODE, *late)) == 1


def test_not_in_force_a_wait_may_last():
    facts, plan = judged(("15:00", "16:00"))
    assert findings_of(CODE, facts.model_copy(update={"rules": ()}), plan) == ()
