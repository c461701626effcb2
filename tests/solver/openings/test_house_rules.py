"""Rules that the bit sets do not know: the checker keeps such places back, and says why."""

from __future__ import annotations

from collections.abc import Callable

import pytest

import solver.rules
from schemas.openings import OpeningsQuestion
from schemas.plan import PlannedVisit
from schemas.rules import RuleSetting
from solver.openings import find_openings, hard_findings_of
from solver.rules.reading import Reading
from solver.rules.rule import Breach, NoParameters, Rule
from tests.builders import (
    a_chair,
    a_day_book,
    a_lead,
    a_phase,
    a_request,
    a_setting,
    a_shared_phase,
    an_assistant,
    at,
)

Keeps = Callable[[PlannedVisit], bool]
STRANGE = (a_setting("strange-rule"),)


@pytest.fixture
def strange(monkeypatch: pytest.MonkeyPatch) -> Callable[[Keeps], None]:
    """Makes a rule of the house out of what every visit has to keep."""

    def add(keeps: Keeps) -> None:
        def check(reading: Reading, _: NoParameters, __: RuleSetting):
            for visit in reading.plan.visits:
                if not keeps(visit):
                    yield Breach(detail="Not here.", remedy="Elsewhere.", visits=(visit.visit,))

        rule = Rule("strange-rule", "Visits keep to a strange rule.", NoParameters, check)
        monkeypatch.setattr(solver.rules, "RULES", (*solver.rules.RULES, rule))
        monkeypatch.setattr(
            solver.rules, "_BY_CODE", {**solver.rules._BY_CODE, "strange-rule": rule}
        )

    return add


def ask(book, limit: int = 3, **request: object):
    return find_openings(book, OpeningsQuestion(request=a_request(**request), limit=limit))


def test_the_next_places_are_offered_where_the_first_are_refused(strange) -> None:
    strange(lambda visit: visit.window.start >= at("11:00"))
    answer = ask(a_day_book(rules=STRANGE), phases=(a_phase(minutes=60),))
    assert answer.openings[0].start == at("11:00")
    assert len(answer.openings) == 3
    (obstacle,) = answer.obstacles
    assert obstacle.rule == "strange-rule"
    assert obstacle.sentence == "Visits keep to a strange rule."
    assert 1 <= obstacle.places <= 8  # the quarters from 9:00 on


def test_a_rule_that_refuses_every_place_is_named_and_nothing_is_offered(strange) -> None:
    strange(lambda visit: visit.visit != "request-1")
    answer = ask(a_day_book(rules=STRANGE), phases=(a_phase(minutes=240),))
    assert answer.openings == ()
    assert answer.found == 21
    counts = {obstacle.rule: obstacle.places for obstacle in answer.obstacles}
    assert counts["strange-rule"] == 21
    # All arrivals from midnight to closing are told, under this rule or another.
    assert sum(counts.values()) == 19 * 4


def test_another_chair_is_tried_where_the_best_is_refused(strange) -> None:
    strange(lambda visit: visit.chair == "chair-2")
    chairs = (a_chair("chair-1"), a_chair("chair-2"))
    book = a_day_book(rules=STRANGE, chairs=chairs)
    answer = ask(book, phases=(a_phase(minutes=240),))
    assert [each.chair for each in answer.openings] == ["chair-2"] * len(answer.openings)
    assert answer.openings
    for opening in answer.openings:
        assert hard_findings_of(book, a_request(phases=(a_phase(minutes=240),)), opening) == ()


def test_another_crew_is_tried_where_the_shortest_is_refused(strange) -> None:
    # Help of exactly 60 minutes is never the shortest way of braiding.
    strange(lambda v: sum(h.window.minutes for p in v.phases for h in p.help) == 60)
    book = a_day_book(rules=STRANGE, staff=(a_lead(), an_assistant()))
    answer = ask(book, phases=(a_shared_phase(240),))
    assert answer.openings
    assert {each.help_minutes for each in answer.openings} == {60}


def test_a_soft_rule_keeps_nothing_back(strange) -> None:
    strange(lambda _: False)
    soft = (a_setting("strange-rule", hard=False),)
    answer = ask(a_day_book(rules=soft), phases=(a_phase(minutes=240),))
    assert len(answer.openings) == 3
    assert answer.obstacles == ()


def test_the_search_ends_after_so_many_refusals(strange, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("solver.openings.offers.MOST_REFUSED", 5)
    strange(lambda visit: visit.visit != "request-1")
    answer = ask(a_day_book(rules=STRANGE), phases=(a_phase(minutes=240),))
    counts = {obstacle.rule: obstacle.places for obstacle in answer.obstacles}
    assert counts["strange-rule"] == 5
