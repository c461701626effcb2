"""Long installs of a day are shared evenly among the leads who could do them."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.builders import (
    DAY,
    a_booking,
    a_day_book,
    a_lead,
    a_placed,
    a_plan,
    a_setting,
    a_shift,
    an_assistant,
    skills,
)
from tests.judging import findings_of, the_finding

CODE = "even-shares"
SOFT = a_setting(CODE, hard=False, weight=3, minutes=240, slack=1)
ANA, BEA, CORA = a_lead("ana"), a_lead("bea"), a_lead("cora")


def shared(*leads, setting=SOFT, minutes=240, staff=(ANA, BEA), days=None, **facts):
    """Installs given by who leads them; where they lie is no matter."""
    days = days or [DAY] * len(leads)
    visits = [a_booking(f"v{n}", "9:00", minutes, day=day, **facts) for n, day in enumerate(days)]
    shifts = [a_shift(who.id, day=day) for who in staff for day in dict.fromkeys(days)]
    book = a_day_book(visits=visits, staff=staff, shifts=tuple(shifts), rules=(setting,))
    return book, a_plan(
        *(a_placed(v, lead=lead, day=d) for v, lead, d in zip(visits, leads, days, strict=True))
    )


def test_two_more_than_another_is_told_with_names_and_numbers():
    finding = the_finding(CODE, *shared("ana", "ana", "bea", "ana"))
    assert (finding.cost, finding.staff) == (3, ("ana", "bea"))
    assert finding.detail == (
        "On Tuesday 1 December 2026 Ana leads 3 long installs and Bea 1; they may differ by 1."
    )
    assert finding.visits == ("v0", "v1", "v3")


@pytest.mark.parametrize(("leads", "slack", "cost"), [(3, 1, 6), (3, 2, 3), (3, 3, 0), (1, 0, 3)])
def test_what_lies_beyond_the_slack_costs(leads, slack, cost):
    setting = a_setting(CODE, hard=False, weight=3, slack=slack)
    found = findings_of(CODE, *shared(*["ana"] * leads, setting=setting))
    assert sum(finding.cost for finding in found) == cost


def test_an_install_of_exactly_the_minutes_is_long_and_a_shorter_one_is_not():
    assert len(findings_of(CODE, *shared("ana", "ana", minutes=240))) == 1
    assert findings_of(CODE, *shared("ana", "ana", minutes=239)) == ()


@pytest.mark.parametrize(
    "facts",
    [
        {"refused_leads": ("bea",)},
        {"required_lead": "ana"},
        {"lead": "ana"},
        {"staff": (ANA, a_lead("bea", skills=skills("braiding", level=1), retired=True))},
        {"staff": (ANA, a_lead("bea", skills=skills("wash")))},
        {"staff": (ANA, an_assistant("bea"))},
    ],
)
def test_who_could_not_lead_them_is_not_compared(facts):
    assert findings_of(CODE, *shared("ana", "ana", **facts)) == ()


def test_who_is_away_is_not_compared():
    book, plan = shared("ana", "ana")
    away = book.model_copy(update={"shifts": book.shifts[:1]})
    assert len(findings_of(CODE, book, plan)) == 1
    assert findings_of(CODE, away, plan) == ()


def test_each_day_is_compared_by_itself():
    tomorrow = DAY + timedelta(days=1)
    even = [DAY, tomorrow]
    assert findings_of(CODE, *shared("ana", "ana", days=even)) == ()


def test_the_rule_concerns_only_leads_and_visits_of_its_tags():
    setting = a_setting(CODE, hard=False, staff_tags=("senior",))
    senior = (a_lead("ana", tags=("senior",)), BEA)
    assert findings_of(CODE, *shared("ana", "ana", setting=setting, staff=senior)) == ()
    setting = a_setting(CODE, hard=False, visit_tags=("bridal",))
    assert findings_of(CODE, *shared("ana", "ana", setting=setting)) == ()
    assert len(findings_of(CODE, *shared("ana", "ana", setting=setting, tags=("bridal",)))) == 1
