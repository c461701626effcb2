"""Break laws as presets, at the edges of their worked examples.

The articles stand beside the rows. General information: check your local code.
"""

from __future__ import annotations

import pytest

from schemas.daybook import Grid
from solver.rules.presets import PRESETS
from solver.rules.rule import LONGEST_TEXT
from tests.builders import a_day_book, a_lead, a_meal, a_plan, a_shift, minutes_after
from tests.judging import findings_of

SETTINGS = {preset.code: preset.setting for preset in PRESETS}


def shift_of(minutes):
    """A shift from 9:00 of so many minutes, on a grid of one minute."""
    shift = a_shift("lead-1", "9:00", "9:01")
    window = shift.window.model_copy(update={"end": minutes_after(shift.window.start, minutes)})
    return shift.model_copy(update={"window": window})


def meal_at(minutes, length):
    """A meal break that begins so many minutes after 9:00."""
    meal = a_meal("9:00", "9:01")
    start = minutes_after(meal.window.start, minutes)
    window = meal.window.model_copy(update={"start": start, "end": minutes_after(start, length)})
    return meal.model_copy(update={"window": window})


UK, EU, CALIFORNIA = "uk-rest-break", "eu-break", "california-first-meal"
ONTARIO, GERMANY = "ontario-eating-period", "germany-rest-break"


@pytest.mark.parametrize(
    ("law", "shift", "meals", "lawful"),
    [
        pytest.param(EU, 360, (), True, id="EU 2003/88 art. 4: 6h00, longer than six hours"),
        pytest.param(EU, 361, (), False, id="EU 2003/88 art. 4: 6h01, a break"),
        pytest.param(UK, 360, (), True, id="UK reg. 12(1): 6h00, none required"),
        pytest.param(UK, 361, (), False, id="UK reg. 12(1): 6h01, one required"),
        pytest.param(UK, 361, ((180, 20),), True, id="UK reg. 12(3): 20 min are enough"),
        pytest.param(UK, 361, ((180, 19),), False, id="UK reg. 12(3): 19 min are not"),
        pytest.param(UK, 361, ((120, 10), (240, 10)), False, id="UK reg. 12(3): uninterrupted"),
        pytest.param(UK, 750, ((300, 20),), True, id="UK: 12h30, still one"),
        pytest.param(CALIFORNIA, 300, (), True, id="CA 512(a): 5h00, more than five hours"),
        pytest.param(CALIFORNIA, 301, (), False, id="CA 512(a): 5h01, one meal"),
        pytest.param(CALIFORNIA, 600, ((240, 30),), True, id="CA 512(a): 10h00, one meal"),
        pytest.param(CALIFORNIA, 540, ((300, 30),), True, id="CA Brinker: end of the fifth hour"),
        pytest.param(CALIFORNIA, 540, ((301, 30),), False, id="CA Brinker: a minute later"),
        pytest.param(CALIFORNIA, 570, ((60, 30),), True, id="CA Brinker: no rolling five hours"),
        pytest.param(ONTARIO, 300, (), True, id="ON s. 20: 5h00 on end"),
        pytest.param(ONTARIO, 301, (), False, id="ON s. 20: 5h01 on end"),
        pytest.param(ONTARIO, 540, ((300, 30),), True, id="ON s. 20: after five hours"),
        pytest.param(ONTARIO, 540, ((301, 30),), False, id="ON s. 20: after 5h01"),
        pytest.param(GERMANY, 360, (), True, id="DE s. 4: 6h00, none"),
        pytest.param(GERMANY, 361, (), False, id="DE s. 4: 6h01, 30 min"),
        pytest.param(GERMANY, 540, ((360, 30),), True, id="DE s. 4: six hours on end"),
        pytest.param(GERMANY, 540, ((361, 30),), False, id="DE s. 4: 6h01 on end"),
    ],
)
def test_a_preset_agrees_with_the_worked_examples_of_its_law(law, shift, meals, lawful):
    facts = a_day_book(
        staff=(a_lead(),),
        shifts=(shift_of(shift),),
        rules=(SETTINGS[law],),
        grid=Grid(minutes=1, arrivals=15),
    )
    plan = a_plan(breaks=[meal_at(*meal) for meal in meals])
    assert (findings_of("meal-break", facts, plan) == ()) is lawful


def test_every_preset_is_used_once_and_sends_people_to_their_local_code():
    assert len(SETTINGS) == len(PRESETS)
    for preset in PRESETS:
        assert preset.law in preset.setting.source
        assert preset.setting.source.endswith("check your local code")
        assert 0 < len(preset.leaves_out) <= LONGEST_TEXT
