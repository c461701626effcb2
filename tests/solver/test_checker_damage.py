"""A sound plan draws no finding; a damaged one is named by the rule it breaks.

`PARTLINE_SMALL_BOOKS=500` damages more days than the few of an ordinary run, each in every way.
"""

from __future__ import annotations

import os
from random import Random

import pytest

from solver.cross_check import cross_check
from solver.rules import RULES
from tests.judging import broken
from tests.solver.damages import DAMAGES
from tests.solver.sound_days import sound_day

DAYS = range(int(os.environ.get("PARTLINE_SMALL_BOOKS", "10")))
ROUNDS = [
    pytest.param(code, damage, id=f"{code}-{damage.__name__}")
    for code, damages in DAMAGES.items()
    for damage in damages
]


def test_every_rule_has_a_damage():
    assert set(DAMAGES) == {rule.code for rule in RULES}


@pytest.mark.parametrize("seed", DAYS)
def test_a_sound_day_draws_no_finding(seed):
    day = sound_day(seed)
    cross_check(day.day_book)
    assert broken(day.day_book, day.plan) == set()


@pytest.mark.parametrize(("code", "damage"), ROUNDS)
def test_a_damaged_plan_is_named_by_the_rule_it_breaks(code, damage):
    """Over all rows, some 500 damaged plans in an ordinary run."""
    judged = 0
    for seed in DAYS:
        day = sound_day(seed)
        plan = damage(day, Random(f"{code}-{seed}"))
        if plan is not None:
            judged += 1
            assert code in broken(day.day_book, plan), f"seed {seed}"
    assert judged >= len(DAYS) // 2
