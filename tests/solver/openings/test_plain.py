"""What is called sound at a glance is what the checker lets pass, on sound and damaged visits."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import pytest

from schemas.rules import Finding
from solver.checker import hard_findings
from solver.openings import BookIndex
from solver.openings.plain import VOUCHED, Taken
from solver.openings.sale import added
from solver.openings.search import Search
from solver.rules import RULES
from tests.builders import a_setting
from tests.solver.openings.small_books import small
from tests.solver.openings.test_judge import crews_own, damaged, sales


def told(seed: int, damages: int) -> Iterator[tuple[bool, tuple[Finding, ...]]]:
    """For every sale, damaged or not: is it called sound, and what does the checker find?"""
    case, draw = small(seed), Random(seed)
    search = Search(BookIndex.of(case.book), case.request)
    index = search.index
    for slot, sound in sales(draw, search):
        block = index.block_at(slot)
        plain = index.judge(block).plain
        assert plain is not None
        for sale in (sound, *(damaged(draw, index, sound) for _ in range(damages))):
            visit, breaks = crews_own(index, block, sale)
            sold = added(index.days[block], search.request, visit, breaks)
            yield plain.is_sound(search.request, visit, breaks), hard_findings(*sold)


@pytest.mark.parametrize("seed", range(5000, 5060))
def test_nothing_is_called_sound_that_the_checker_refuses(seed: int) -> None:
    for sound, findings in told(seed, damages=6):
        assert not (sound and findings), findings


def test_places_that_are_found_are_called_sound_but_for_a_few() -> None:
    said = [sound for seed in range(5000, 5060) for sound, _ in told(seed, damages=0)]
    assert sum(said) > 0.9 * len(said)


def test_a_house_that_allows_overtime_is_judged_by_the_rules_alone() -> None:
    case = small(5000)
    book = case.book.model_copy(update={"rules": (a_setting("overtime", hard=False),)})
    assert BookIndex.of(book).judge(0).plain is None


def test_only_rules_that_there_are_are_vouched_for() -> None:
    assert {rule.code for rule in RULES} >= VOUCHED


@pytest.mark.parametrize(
    ("start", "end", "free"),
    [
        (0, 10, True),  # ends where the first begins
        (0, 11, False),  # reaches into it
        (20, 30, True),  # just between two
        (19, 30, False),
        (20, 31, False),
        (12, 15, False),  # inside one
        (0, 99, False),  # around all
        (40, 50, True),  # after all
    ],
)
def test_time_is_free_where_nothing_taken_overlaps_it(start: int, end: int, free: bool) -> None:
    assert Taken([(30, 40), (10, 20)]).is_free(start, end) == free
