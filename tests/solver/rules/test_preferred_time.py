"""A requested visit starts when the client prefers."""

from __future__ import annotations

import pytest

from tests.builders import a_day_book, a_placed, a_plan, a_request, a_setting, a_window
from tests.judging import findings_of, the_finding

CODE = "preferred-time"


def judged(start, rules=None):
    request = a_request(minutes=60, preferred=a_window("10:00", "11:00"))
    return a_day_book(visits=[request], rules=rules), a_plan(a_placed(request, start))


@pytest.mark.parametrize("start", ["10:00", "10:45", "11:00"])
def test_a_start_in_the_window_or_at_its_ends_costs_nothing(start):
    assert findings_of(CODE, *judged(start)) == ()


@pytest.mark.parametrize(
    ("start", "quarters"),
    [
        ("9:45", 1),  # fifteen minutes early
        ("9:40", 2),  # twenty: a begun quarter counts whole
        ("11:05", 1),
        ("11:15", 1),
        ("11:20", 2),
        ("15:00", 16),
    ],
)
def test_every_begun_quarter_outside_costs_the_weight(start, quarters):
    assert the_finding(CODE, *judged(start)).cost == quarters
    weighted = (a_setting(CODE, hard=False, weight=3),)
    assert the_finding(CODE, *judged(start, weighted)).cost == 3 * quarters


def test_the_finding_says_what_was_wished_and_how_far_it_is():
    finding = the_finding(CODE, *judged("9:30"))
    assert not finding.hard
    assert "would rather start 10:00 to 11:00" in finding.detail
    assert finding.remedy.startswith("Start 30 min later")


def test_who_wishes_no_time_is_content():
    request = a_request(minutes=60)
    facts = a_day_book(visits=[request], rules=None)
    assert findings_of(CODE, facts, a_plan(a_placed(request, "15:00"))) == ()
