"""Every line of `tests/data/break-law/cases.csv` through the checker, under the preset of its law.

The lines were written from the statutes and cases named in them; general information, check your
local code. Hours of work are taken as hours on the clock where breaks are counted (see
DEVELOPERS.md, "Break law"), so a break is due no later than by the law. Waivers by consent are left
out by the presets: a break that may be waived counts as due.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from solver.rules.presets import PRESETS
from tests.solver.rules.hour_books import a_break, a_rest, law_broken, work_judged

FILE = Path(__file__).parents[2] / "data" / "break-law" / "cases.csv"
LAWS = {preset.code: preset.settings for preset in PRESETS}
UK, EU = LAWS["uk-working-time"], LAWS["eu-working-time"]
CALIFORNIA, NEW_YORK = LAWS["california-meals-and-rests"], LAWS["new-york-meals"]
ONTARIO, GERMANY = LAWS["ontario-eating-period"], LAWS["germany-rest-breaks"]
MONDAY = date(2026, 11, 30)

Case = tuple[str, str, str]
SHOWN: dict[Case, Callable[[], None]] = {}


def shows(*line: str) -> Callable[[Callable[[], None]], None]:
    """Mark what shows that a line of the file holds."""

    def note(show: Callable[[], None]) -> None:
        jurisdiction, rule, given = line
        assert (jurisdiction, rule, given) not in SHOWN
        SHOWN[jurisdiction, rule, given] = show

    return note


def lines() -> list[Case]:
    with FILE.open(encoding="utf-8", newline="") as rows:
        return [(row["jurisdiction"], row["rule"], row["input"]) for row in csv.DictReader(rows)]


def test_every_line_of_the_file_is_shown_and_nothing_else():
    assert len(lines()) == len(set(lines())) == 33
    assert set(lines()) == set(SHOWN)


@pytest.mark.parametrize("line", lines(), ids=" ".join)
def test_the_checker_agrees_with_the_line(line):
    SHOWN[line]()


def on_clock(clock: str) -> int:
    """Minutes after nine."""
    hours, minutes = clock.split(":")
    return int(hours) * 60 + int(minutes) - 540


def california(minutes, *meals, rests=()):
    """Which rules a shift of so many minutes breaks, with half an hour at each of `meals`."""
    breaks = [*(a_break(at, 30) for at in meals), *(a_rest(at) for at in rests)]
    return law_broken(CALIFORNIA, (0, minutes), breaks)


def rests_due(minutes):
    """The fewest rests, one at the start of each equal part, that are enough."""
    meals = [at for at in (240, 540) if at + 30 < minutes]
    return next(
        count
        for count in range(8)
        if "rest-breaks"
        not in california(
            minutes, *meals, rests=[minutes * part // count + 1 for part in range(count)]
        )
    )


@shows("CA", "meal count", "work 5h00")
def _() -> None:
    assert california(300, rests=[100]) == set()


@shows("CA", "meal count", "work 5h01")
def _() -> None:
    assert california(301, rests=[100]) == {"meal-break"}
    assert california(301, 150, rests=[100]) == set()


@shows("CA", "meal count", "work 6h00")
def _() -> None:
    assert california(360, rests=[100]) == {"meal-break"}  # its waiver is left out
    assert california(360, 150, rests=[100]) == set()


@shows("CA", "meal count", "work 10h00")
def _() -> None:
    assert california(600, 240, rests=[100, 400]) == set()
    assert california(600, rests=[100, 400]) == {"meal-break"}


@shows("CA", "meal count", "work 10h01")
def _() -> None:
    assert california(601, 240, rests=[100, 300, 500]) == {"second-meal"}
    assert california(601, 240, 560, rests=[100, 300, 500]) == set()


@shows("CA", "meal count", "work 12h01")
def _() -> None:
    assert california(721, 240, rests=[100, 300, 500]) == {"second-meal"}
    assert california(721, 240, 560, rests=[100, 300, 500]) == set()


@shows("CA", "meal timing", "9h work; meal after 1h then 8h work")
def _() -> None:
    assert california(570, 60, rests=[100, 400]) == set()
    assert california(570, 300, rests=[100, 400]) == set()  # the end of the fifth hour itself
    assert california(570, 301, rests=[100, 400]) == {"meal-break"}


@shows("CA", "second meal", "11h work; 30 min meal taken; second starts at clock 10h30")
def _() -> None:
    assert california(690, 240, 630, rests=[100, 300, 500]) == set()
    assert california(690, 240, 631, rests=[100, 300, 500]) == {"second-meal"}


@shows("CA", "rest count", "work 3h29")
def _() -> None:
    assert (rests_due(209), rests_due(210)) == (0, 1)


@shows("CA", "rest count", "work 6h00")
def _() -> None:
    assert rests_due(360) == 1


@shows("CA", "rest count", "work 6h01")
def _() -> None:
    assert rests_due(361) == 2


@shows("CA", "rest count", "work 10h00")
def _() -> None:
    assert (rests_due(600), rests_due(601)) == (2, 3)


@shows("CA", "rest count", "work 14h00")
def _() -> None:
    assert (rests_due(840), rests_due(841)) == (3, 4)


@shows("UK", "rest break", "work 6h00")
def _() -> None:
    assert law_broken(UK, (0, 360)) == set()


@shows("UK", "rest break", "work 6h01")
def _() -> None:
    assert law_broken(UK, (0, 361)) == {"meal-break"}
    assert law_broken(UK, (0, 361), [a_break(180, 20)]) == set()
    assert law_broken(UK, (0, 361), [a_break(180, 19)]) == {"meal-break"}
    assert law_broken(UK, (0, 361), [a_break(120, 10), a_break(240, 10)]) == {"meal-break"}


def night(start):
    """Breaches where work ends at 22:00 and begins so many minutes after nine the next day."""
    (setting,) = (each for each in UK if each.code == "rest-between-days")
    return len(work_judged("rest-between-days", [(700, 780), (start, 60, 1)], setting=setting))


@shows("UK", "daily rest", "end 22:00 next start 09:00")
def _() -> None:
    assert night(0) == 0


@shows("UK", "daily rest", "end 22:00 next start 08:59")
def _() -> None:
    assert night(-1) == 1


@shows("EU", "break", "work 6h00")
def _() -> None:
    assert law_broken(EU, (0, 360)) == set()
    assert law_broken(EU, (0, 361)) == {"meal-break"}


def week(spans):
    """Breaches of the weekly rest; a span's third part is its day, Monday's is 0."""
    (setting,) = (each for each in EU if each.code == "weekly-rest")
    return len(work_judged("weekly-rest", spans, day=MONDAY, setting=setting))


@shows("EU", "weekly rest", "longest gap in 7-day period 34h59")
def _() -> None:
    days = [(0, 480, day) for day in range(5)]
    assert week([*days, (0, 240, 5)]) == 0  # Saturday 13:00 to Monday 0:00 is 35 hours
    assert week([*days, (0, 241, 5)]) == 1


@shows("EU", "weekly rest", "rest day 1 of week A and day 7 of week B")
def _() -> None:
    assert week([(240, 480, 1), *((0, 240, day) for day in range(2, 13))]) == 0


def german(minutes, *parts):
    return law_broken(GERMANY, (0, minutes), [a_break(at, long) for at, long in parts])


@shows("DE", "break", "work 6h00")
def _() -> None:
    assert german(360) == set()


@shows("DE", "break", "work 9h00")
def _() -> None:
    assert german(540, (240, 30)) == set()
    assert german(540, (240, 29)) == {"break-total"}


@shows("DE", "break", "work 9h01")
def _() -> None:
    assert german(541, (240, 45)) == set()
    assert german(541, (240, 44)) == {"break-total"}


@shows("DE", "break split", "3x15 for 9h30 work")
def _() -> None:
    assert german(570, (120, 15), (240, 15), (360, 15)) == set()
    assert german(570, (120, 25), (240, 10), (360, 10)) == {"break-total", "longest-stretch"}
    assert german(570, (120, 16), (240, 15), (360, 14)) == {"break-total"}


@shows("DE", "max run", "6h01 without break")
def _() -> None:
    assert german(540, (360, 30)) == set()
    assert german(540, (361, 30)) == {"longest-stretch"}


@shows("ON", "eating period", "5h00 consecutive")
def _() -> None:
    assert law_broken(ONTARIO, (0, 300)) == set()
    assert law_broken(ONTARIO, (0, 540), [a_break(300, 30)]) == set()


@shows("ON", "eating period", "5h01 consecutive")
def _() -> None:
    both = {"meal-break", "longest-stretch"}
    assert law_broken(ONTARIO, (0, 301)) == both
    assert law_broken(ONTARIO, (0, 540), [a_break(301, 30)]) == both
    assert law_broken(ONTARIO, (0, 540), [a_break(200, 30)]) == {"longest-stretch"}


def new_york(start, end, *meals):
    shift = on_clock(start), on_clock(end)
    return law_broken(NEW_YORK, shift, [a_break(on_clock(at), long) for at, long in meals])


@shows("NY", "noonday", "09:00-15:00 (6h00)")
def _() -> None:
    assert new_york("9:00", "15:00") == set()


@shows("NY", "noonday", "09:00-15:01")
def _() -> None:
    for meals, broken in (
        ((), True),
        ((("11:00", 30),), False),
        ((("13:30", 30),), False),
        ((("10:59", 30),), True),
        ((("13:31", 30),), True),
        ((("12:00", 29),), True),
    ):
        assert bool(new_york("9:00", "15:01", *meals)) is broken


@shows("NY", "evening", "10:59-19:01")
def _() -> None:
    noon = ("12:00", 30)
    assert new_york("10:59", "19:01", noon) == {"meal-window"}
    assert new_york("10:59", "19:01", noon, ("17:00", 20)) == set()
    assert new_york("10:59", "19:01", noon, ("18:40", 20)) == set()
    assert new_york("10:59", "19:01", noon, ("18:41", 20)) == {"meal-window"}
    assert new_york("11:00", "19:01", noon) == set()  # it starts at 11:00, not before
    assert new_york("10:59", "19:00", noon) == set()  # it ends at 19:00, not after


@shows("NY", "late shift", "13:00-19:30")
def _() -> None:
    assert new_york("13:00", "19:30") == {"meal-window"}
    assert new_york("13:00", "19:30", ("16:00", 45)) == set()
    assert new_york("13:00", "19:30", ("16:00", 44)) == {"meal-window"}
    assert new_york("13:00", "19:30", ("13:30", 45)) == {"meal-window"}  # not midway
    assert new_york("13:00", "19:00") == set()  # six hours, not more


def hours_counted(rest):
    """Whether an hour of braiding and this break are more than an hour of work."""
    return work_judged("daily-hours", [(0, 30), (60, 90)], [rest], minutes=60) != ()


@shows("US-FLSA", "pay", "10 min rest")
def _() -> None:
    assert hours_counted(a_rest(40))


@shows("US-FLSA", "pay", "30 min fully relieved")
def _() -> None:
    assert not hours_counted(a_break(30, 30))
