"""Break laws as settings of `meal-break`, each with its article.

A setting states what one meal break a shift can state; what the law asks beyond that is said beside
it. General information and not legal advice: check your local code.
"""

from __future__ import annotations

from schemas.rules import BreakPreset, RuleSetting
from schemas.units import MINUTES_PER_DAY
from solver.rules import meal_break
from solver.rules.meal_break import MealBreak


def _setting(parameters: MealBreak, law: str) -> RuleSetting:
    return RuleSetting(
        code=meal_break.RULE.code,
        parameters=parameters.model_dump(),
        source=f"{law}; check your local code",
    )


def _preset(
    code: str, place: str, law: str, parameters: MealBreak, *, states: str, leaves_out: str
) -> BreakPreset:
    return BreakPreset(
        code=code,
        place=place,
        law=law,
        setting=_setting(parameters, law),
        states=states,
        leaves_out=leaves_out,
    )


PRESETS: tuple[BreakPreset, ...] = (
    _preset(
        "uk-rest-break",
        "United Kingdom",
        "Working Time Regulations 1998, reg. 12",
        MealBreak(after=360, minutes=20, earliest=0, latest=MINUTES_PER_DAY),
        states="A day of more than six hours has 20 uninterrupted minutes.",
        leaves_out="The longer break of young workers; daily and weekly rest.",
    ),
    _preset(
        "eu-break",
        "European Union",
        "Directive 2003/88/EC, article 4",
        MealBreak(after=360, minutes=15, earliest=0, latest=MINUTES_PER_DAY),
        states="A day of more than six hours has a break; 15 minutes is a house figure.",
        leaves_out="The length and terms, which each state sets; daily and weekly rest.",
    ),
    _preset(
        "california-first-meal",
        "California",
        "Labor Code 512(a); Brinker v. Superior Court (2012)",
        MealBreak(after=300, minutes=30, earliest=0, latest=300),
        states="A day of more than five hours has 30 minutes that start by the end of the fifth.",
        leaves_out="The second meal after ten hours, waivers, and rest breaks of Wage Order 2.",
    ),
    _preset(
        "ontario-eating-period",
        "Ontario",
        "Employment Standards Act, 2000, s. 20",
        MealBreak(after=300, minutes=30, earliest=0, latest=300),
        states="30 minutes so that nobody works more than five hours on end before them.",
        leaves_out="More than five hours on end after the break; periods split by agreement.",
    ),
    _preset(
        "germany-rest-break",
        "Germany",
        "Arbeitszeitgesetz s. 4",
        MealBreak(after=360, minutes=30, earliest=0, latest=360),
        states="A day of more than six hours has 30 minutes, after at most six hours of work.",
        leaves_out="45 minutes above nine hours, breaks in parts of 15, six hours on end after it.",
    ),
)
"""Every preset, by place."""
