"""Break laws as presets, at the edges of their worked examples.

The articles stand beside the rows. General information: check your local code.
"""

from __future__ import annotations

import pytest

from schemas.plan import SolveStatus
from solver.checker import hard_findings
from solver.cross_check import cross_check
from solver.openings import complete_breaks
from solver.plan import plan_days
from solver.rules.presets import PRESETS
from solver.rules.rule import LONGEST_TEXT
from tests.builders import (
    a_booking,
    a_day_book,
    a_lead,
    a_phase,
    a_plan,
    a_shift,
    a_window,
    an_assistant,
)
from tests.solver.rules.hour_books import a_break, a_rest, law_broken

LAWS = {preset.code: preset for preset in PRESETS}
UK, EU, CALIFORNIA = "uk-working-time", "eu-working-time", "california-meals-and-rests"
ONTARIO, GERMANY, NEW_YORK = "ontario-eating-period", "germany-rest-breaks", "new-york-meals"

MEAL = (240, 30)


def rests(*starts):
    return [a_rest(start) for start in starts]


def meals(*parts):
    return [a_break(start, minutes) for start, minutes in parts]


@pytest.mark.parametrize(
    ("law", "shift", "breaks", "lawful"),
    [
        pytest.param(EU, 360, [], True, id="EU 2003/88 art. 4: 6h00, longer than six hours"),
        pytest.param(EU, 361, [], False, id="EU 2003/88 art. 4: 6h01, a break"),
        pytest.param(UK, 360, [], True, id="UK reg. 12(1): 6h00, none required"),
        pytest.param(UK, 361, [], False, id="UK reg. 12(1): 6h01, one required"),
        pytest.param(UK, 361, meals((180, 20)), True, id="UK reg. 12(3): 20 min are enough"),
        pytest.param(UK, 361, meals((180, 19)), False, id="UK reg. 12(3): 19 min are not"),
        pytest.param(UK, 361, meals((120, 10), (240, 10)), False, id="UK reg. 12(3): on end"),
        pytest.param(UK, 750, meals((300, 20)), True, id="UK: 12h30, still one"),
        pytest.param(CALIFORNIA, 209, [], True, id="CA Wage Order 2: 3h29, none"),
        pytest.param(CALIFORNIA, 210, [], False, id="CA Wage Order 2: 3h30, one"),
        pytest.param(CALIFORNIA, 300, rests(100), True, id="CA 512(a): 5h00, no meal"),
        pytest.param(CALIFORNIA, 301, rests(100), False, id="CA 512(a): 5h01, one meal"),
        pytest.param(
            CALIFORNIA, 301, [*rests(100), *meals((150, 30))], True, id="CA 512(a): 5h01 with it"
        ),
        pytest.param(
            CALIFORNIA, 361, [*rests(100), *meals(MEAL)], False, id="CA Brinker: 6h01, 2 x 10"
        ),
        pytest.param(
            CALIFORNIA, 540, [*rests(100, 400), *meals((300, 30))], True, id="CA: end of the fifth"
        ),
        pytest.param(
            CALIFORNIA, 540, [*rests(100, 400), *meals((301, 30))], False, id="CA: a minute later"
        ),
        pytest.param(
            CALIFORNIA, 570, [*rests(100, 400), *meals((60, 30))], True, id="CA: no rolling five"
        ),
        pytest.param(
            CALIFORNIA, 600, [*rests(100, 400), *meals(MEAL)], True, id="CA: 10h00, one meal"
        ),
        pytest.param(
            CALIFORNIA, 601, [*rests(100, 300, 500), *meals(MEAL)], False, id="CA: 10h01, two meals"
        ),
        pytest.param(
            CALIFORNIA,
            690,
            [*rests(100, 300, 500), *meals(MEAL, (630, 30))],
            True,
            id="CA Brinker: 11h work, second at clock 10h30",
        ),
        pytest.param(ONTARIO, 300, [], True, id="ON s. 20: 5h00 on end"),
        pytest.param(ONTARIO, 301, [], False, id="ON s. 20: 5h01 on end"),
        pytest.param(ONTARIO, 540, meals((300, 30)), True, id="ON s. 20: after five hours"),
        pytest.param(ONTARIO, 540, meals((301, 30)), False, id="ON s. 20: after 5h01"),
        pytest.param(ONTARIO, 660, meals((300, 30)), False, id="ON s. 20: 5h30 after it"),
        pytest.param(GERMANY, 360, [], True, id="DE s. 4: 6h00, none"),
        pytest.param(GERMANY, 361, [], False, id="DE s. 4: 6h01, 30 min"),
        pytest.param(GERMANY, 540, meals((360, 30)), True, id="DE s. 4: six hours on end"),
        pytest.param(GERMANY, 540, meals((361, 30)), False, id="DE s. 4: 6h01 on end"),
        pytest.param(GERMANY, 541, meals((240, 30)), False, id="DE s. 4: 9h01, 45 min"),
        pytest.param(
            GERMANY, 570, meals((120, 15), (240, 15), (360, 15)), True, id="DE s. 4: 3 x 15"
        ),
        pytest.param(
            GERMANY, 570, meals((120, 25), (240, 10), (360, 10)), False, id="DE s. 4: 25 + 2 x 10"
        ),
        pytest.param(NEW_YORK, 360, [], True, id="NY 162(2): 9 to 15, none"),
        pytest.param(NEW_YORK, 361, [], False, id="NY 162(2): 9 to 15:01"),
        pytest.param(NEW_YORK, 361, meals((120, 30)), True, id="NY 162(2): at 11:00"),
        pytest.param(NEW_YORK, 601, meals((180, 30)), False, id="NY 162(3): 9 to 19:01"),
        pytest.param(NEW_YORK, 601, meals((180, 30), (500, 20)), True, id="NY 162(3): 20 more"),
    ],
)
def test_a_preset_agrees_with_the_worked_examples_of_its_law(law, shift, breaks, lawful):
    assert (not law_broken(LAWS[law].settings, (0, shift), breaks)) is lawful


@pytest.mark.parametrize("law", LAWS)
@pytest.mark.parametrize("hours", [3, 6, 8, 9, 10, 12])
def test_a_free_day_gets_every_break_its_law_asks_for(law, hours):
    staff = (a_lead(), an_assistant())
    book = a_day_book(
        staff=staff,
        open=(a_window("9:00", "22:00"),),
        shifts=tuple(a_shift(person.id, "9:00", f"{9 + hours}:00") for person in staff),
        rules=LAWS[law].settings,
    )
    cross_check(book)
    completed = complete_breaks(book, a_plan())
    assert hard_findings(book, a_plan(breaks=completed)) == ()


@pytest.mark.parametrize("law", LAWS)
def test_a_day_can_be_planned_under_each_law(law):
    staff = (a_lead(), an_assistant())
    visits = [
        a_booking("long", "9:00", phases=(a_phase(minutes=420, breakable=True),)),
        a_booking("late", "18:00", 120),
    ]
    book = a_day_book(
        visits=visits,
        staff=staff,
        open=(a_window("9:00", "21:00"),),
        shifts=tuple(a_shift(person.id, "9:00", "20:30") for person in staff),
        rules=LAWS[law].settings,
    )
    assert plan_days(book).status is SolveStatus.OPTIMAL


def test_every_preset_is_used_once_and_sends_people_to_their_local_code():
    assert len(LAWS) == len(PRESETS)
    for preset in PRESETS:
        assert 0 < len(preset.leaves_out) <= LONGEST_TEXT
        for setting in preset.settings:
            assert setting.source is not None
            assert setting.source.endswith("check your local code")


def test_the_laws_of_daily_and_weekly_rest_are_in_their_presets():
    figures = {
        (law, setting.code): setting.parameters["minutes"]
        for law in (UK, EU)
        for setting in LAWS[law].settings
        if setting.code in {"rest-between-days", "weekly-rest"}
    }
    assert figures == {
        (UK, "rest-between-days"): 660,  # reg. 10
        (UK, "weekly-rest"): 1440,  # reg. 11
        (EU, "rest-between-days"): 660,  # article 3
        (EU, "weekly-rest"): 2100,  # articles 3 and 5
    }
