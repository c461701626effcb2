"""Certain shifts eat at a certain time of day. General information: check your local code."""

from __future__ import annotations

import pytest

from tests.builders import a_lead, a_setting
from tests.solver.rules.hour_books import a_break, breaks_judged, shift_of

CODE = "meal-window"
NOON = a_setting(CODE, label="noon")
EVENING = a_setting(
    CODE,
    label="evening",
    longer=0,
    minutes=20,
    before="11:00",
    past="19:00",
    opens="17:00",
    closes="19:00",
)
LATE = a_setting(
    CODE,
    label="late",
    minutes=45,
    since="13:00",
    before="06:00",
    past="00:00",
    midway=1,
)
NEW_YORK = (NOON, EVENING, LATE)


def on_the_clock(clock):
    """Minutes after nine."""
    hours, minutes = (int(part) for part in clock.split(":"))
    return hours * 60 + minutes - 540


def judged(start, end, *meals, **others):
    """`meals` are `(clock, minutes)`."""
    first = on_the_clock(start)
    return breaks_judged(
        CODE,
        shift_of(on_the_clock(end) - first, first),
        [a_break(on_the_clock(clock), minutes) for clock, minutes in meals],
        settings=others.pop("settings", NEW_YORK),
        **others,
    )


@pytest.mark.parametrize(
    ("start", "end", "meals", "broken"),
    [
        pytest.param("9:00", "15:00", [], 0, id="NY 162(2): 9 to 15, none, more than six hours"),
        pytest.param("9:00", "15:01", [], 1, id="NY 162(2): 9 to 15:01, 30 min"),
        pytest.param("9:00", "15:01", [("11:00", 30)], 0, id="NY 162(2): inside 11 to 14"),
        pytest.param("9:00", "15:01", [("13:30", 30)], 0, id="NY 162(2): until 14:00 exactly"),
        pytest.param("9:00", "15:01", [("13:31", 30)], 1, id="NY 162(2): past 14:00"),
        pytest.param("9:00", "15:01", [("10:59", 30)], 1, id="NY 162(2): before 11:00"),
        pytest.param("9:00", "15:01", [("12:00", 29)], 1, id="NY 162(2): 29 min"),
        pytest.param("10:59", "19:01", [("12:00", 30)], 1, id="NY 162(3): 20 more in 17 to 19"),
        pytest.param("10:59", "19:01", [("12:00", 30), ("17:00", 20)], 0, id="NY 162(3): both"),
        pytest.param("10:59", "19:01", [("12:00", 30), ("18:41", 20)], 1, id="NY 162(3): past 19"),
        pytest.param(
            "10:59", "19:00", [("12:00", 30)], 0, id="NY 162(3): ends at 19:00, not after"
        ),
        pytest.param("11:00", "19:01", [("12:00", 30)], 0, id="NY 162(3): starts at 11:00"),
        pytest.param("13:00", "19:30", [], 1, id="NY 162(4): 13:00 to 19:30, 45 min midway"),
        pytest.param("13:00", "19:30", [("15:30", 45)], 0, id="NY 162(4): holds 16:15"),
        pytest.param("13:00", "19:30", [("16:16", 45)], 1, id="NY 162(4): past the middle"),
        pytest.param("13:00", "19:30", [("16:00", 44)], 1, id="NY 162(4): 44 min"),
        pytest.param("13:00", "19:00", [], 0, id="NY 162(4): six hours, none"),
        pytest.param("5:59", "12:00", [], 1, id="NY 162(4): starts before 6:00"),
        pytest.param("6:00", "12:00", [], 0, id="NY 162: 6:00 to 12:00, none"),
    ],
)
def test_the_rule_agrees_with_the_worked_examples(start, end, meals, broken):
    assert len(judged(start, end, *meals)) == broken


def test_a_finding_says_when_to_eat_and_under_which_label():
    (finding,) = judged("9:00", "16:00")
    assert finding.label == "noon"
    assert finding.remedy == "Give Lead-1 30 min between 11:00 and 14:00."


def test_a_break_midway_is_told_with_its_minute():
    (finding,) = judged("13:00", "19:30")
    assert "that holds the middle of the shift, 16:15 on Tuesday" in finding.remedy


def test_a_break_inside_an_install_counts_unless_the_house_says_no():
    lunch = a_break(180, 30, inside="client-1")
    assert breaks_judged(CODE, 480, [lunch]) == ()
    assert len(breaks_judged(CODE, 480, [lunch], inside=0)) == 1


def test_the_rule_concerns_only_the_tags_it_names():
    setting = (a_setting(CODE, staff_tags=("minor",)),)
    assert judged("9:00", "16:00", settings=setting) == ()
    assert len(judged("9:00", "16:00", settings=setting, lead=a_lead(tags=("minor",)))) == 1
