"""Laws on breaks and hours as settings of rules, each with its article.

`states` says what the settings hold a plan to, `leaves_out` what the law asks beyond that. Where a
law counts hours worked, the rules on breaks count the shift on the clock, which asks for a break no
later; the rules on hours count the work in the plan. General information and not legal advice:
check your local code.
"""

from __future__ import annotations

from schemas.rules import BreakPreset, RuleSetting
from schemas.units import MINUTES_PER_DAY
from solver.rules import (
    break_total,
    longest_stretch,
    meal_break,
    meal_window,
    rest_between_days,
    rest_breaks,
    second_meal,
    weekly_rest,
)
from solver.rules.break_total import BreakTotal
from solver.rules.longest_stretch import LongestStretch
from solver.rules.meal_break import MealBreak
from solver.rules.meal_window import MealWindow
from solver.rules.rest_between_days import RestBetweenDays
from solver.rules.rest_breaks import RestBreaks
from solver.rules.rule import Parameters
from solver.rules.second_meal import SecondMeal
from solver.rules.weekly_rest import WeeklyRest

CODES = {
    MealBreak: meal_break.RULE.code,
    SecondMeal: second_meal.RULE.code,
    BreakTotal: break_total.RULE.code,
    MealWindow: meal_window.RULE.code,
    RestBreaks: rest_breaks.RULE.code,
    LongestStretch: longest_stretch.RULE.code,
    RestBetweenDays: rest_between_days.RULE.code,
    WeeklyRest: weekly_rest.RULE.code,
}
ANY_TIME = {"earliest": 0, "latest": MINUTES_PER_DAY}


def _setting(parameters: Parameters, law: str, label: str | None = None) -> RuleSetting:
    return RuleSetting(
        code=CODES[type(parameters)],
        label=label,
        parameters=parameters.model_dump(),
        source=f"{law}; check your local code",
    )


EU = "Directive 2003/88/EC"
UK = "Working Time Regulations 1998"
CALIFORNIA = "Labor Code 512(a)"
BRINKER = f"{CALIFORNIA}; Brinker v. Superior Court (2012)"
NEW_YORK = "Labor Law 162"
ONTARIO = "Employment Standards Act, 2000, s. 20"
GERMANY = "Arbeitszeitgesetz s. 4"

PRESETS: tuple[BreakPreset, ...] = (
    BreakPreset(
        code="uk-working-time",
        place="United Kingdom",
        law=f"{UK}, reg. 10 to 12",
        settings=(
            _setting(MealBreak(after=360, minutes=20, **ANY_TIME), f"{UK}, reg. 12"),
            _setting(RestBetweenDays(minutes=660), f"{UK}, reg. 10"),
            _setting(WeeklyRest(minutes=1440), f"{UK}, reg. 11"),
        ),
        states="A day of more than six hours has 20 uninterrupted minutes; eleven hours lie "
        "between two days of work; every week has 24 hours without.",
        leaves_out="The longer breaks and rests of young workers; two weekly rests in a fortnight; "
        "night work; the average of 48 hours a week.",
    ),
    BreakPreset(
        code="eu-working-time",
        place="European Union",
        law=f"{EU}, articles 3 to 5",
        settings=(
            _setting(MealBreak(after=360, minutes=15, **ANY_TIME), f"{EU}, article 4"),
            _setting(RestBetweenDays(minutes=660), f"{EU}, article 3"),
            _setting(WeeklyRest(minutes=2100), f"{EU}, article 5"),
        ),
        states="A day of more than six hours has a break (15 minutes is a house figure); eleven "
        "hours lie between two days of work; every week has 35 hours without.",
        leaves_out="The length and terms of the break, which each state sets; the average of 48 "
        "hours a week; night work.",
    ),
    BreakPreset(
        code="california-meals-and-rests",
        place="California",
        law=f"{BRINKER}; Wage Order 2",
        settings=(
            _setting(MealBreak(after=300, minutes=30, earliest=0, latest=300), BRINKER),
            _setting(SecondMeal(after=600, minutes=30, latest=600), BRINKER),
            _setting(RestBreaks(minutes=10, every=240, least=210), "Wage Order 2, section 12"),
        ),
        states="More than five hours have a meal of 30 minutes by the end of the fifth, more than "
        "ten a second by the end of the tenth hour of work; ten minutes of rest for each four "
        "hours or major fraction, one in each equal part of the shift.",
        leaves_out="Waivers by consent; premium pay; a rest in the middle of its period where that "
        "is practicable.",
    ),
    BreakPreset(
        code="new-york-meals",
        place="New York",
        law=f"{NEW_YORK} (2) to (4)",
        settings=(
            _setting(MealWindow(), f"{NEW_YORK} (2)", "noon"),
            _setting(
                MealWindow(
                    longer=0,
                    before="11:00",
                    past="19:00",
                    minutes=20,
                    opens="17:00",
                    closes="19:00",
                ),
                f"{NEW_YORK} (3)",
                "evening",
            ),
            _setting(
                MealWindow(since="13:00", before="06:00", past="00:00", minutes=45, midway=1),
                f"{NEW_YORK} (4)",
                "late",
            ),
        ),
        states="More than six hours over noon have 30 minutes from 11 to 14; a shift from before "
        "11 to after 19 has 20 more from 17 to 19; more than six hours begun from 13 to 6 have 45 "
        "midway.",
        leaves_out="Factories, one-employee shifts, shorter periods by permit.",
    ),
    BreakPreset(
        code="ontario-eating-period",
        place="Ontario",
        law=ONTARIO,
        settings=(
            _setting(MealBreak(after=300, minutes=30, earliest=0, latest=300), ONTARIO),
            _setting(LongestStretch(minutes=300, pause=30), ONTARIO),
        ),
        states="Nobody works more than five hours on end without 30 minutes, before a meal or "
        "after it.",
        leaves_out="Periods split in two by agreement; hours free from work.",
    ),
    BreakPreset(
        code="germany-rest-breaks",
        place="Germany",
        law=GERMANY,
        settings=(
            _setting(BreakTotal(), GERMANY),
            _setting(LongestStretch(minutes=360, pause=15), GERMANY),
        ),
        states="A day of more than six hours has 30 minutes of break, of more than nine 45, in "
        "parts of at least 15; nobody works more than six hours on end.",
        leaves_out="Hours a day, rest between days and Sundays, which other sections set; breaks "
        "fixed in advance.",
    ),
)
"""Every preset, by place."""
