"""The planner against multi-skill projects whose shortest makespan is proven.

`PARTLINE_OPEN_DATA` names a folder of more of them, whose licence is not stated for all; they are
not copied here.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from schemas.plan import SolveStatus
from solver.model import conflict
from solver.plan import plan_days
from tests.benchmarks.published import cases, last_finish, open_data, run
from tests.solver.project_books import Project, a_project, read_project, schedule

DATA = Path(__file__).parent.parent / "data" / "mspsp"
PROVEN = {"easy_03": 26, "medium_02": 15}


def ours(name: str) -> Project:
    return read_project(DATA / f"{name}.dzn")


@pytest.mark.parametrize("name", PROVEN)
def test_a_schedule_of_the_proven_length_can_be_staffed(name: str) -> None:
    project, best = ours(name), PROVEN[name]
    starts = schedule(project, best, 20)
    assert starts is not None
    last = last_finish(a_project(project, best, starts), seconds=10, workers=1)
    assert last is not None
    assert last.value == best


def test_starts_that_end_before_the_proven_length_cannot_be_staffed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    project = ours("easy_03")
    ends = map(sum, zip(project.heads, project.durations, strict=True))
    assert max(ends) < PROVEN["easy_03"]
    # Which promises collide is not asked here: telling of all of them takes the rest of the time.
    monkeypatch.setattr(conflict, "_keep_most", lambda *_: None)
    result = plan_days(a_project(project, PROVEN["easy_03"], project.heads), seconds=10)
    assert result.status is SolveStatus.INFEASIBLE


@pytest.mark.parametrize("name", PROVEN)
def test_what_is_left_of_a_project_is_proved_no_longer_than_the_project(name: str) -> None:
    project, best = ours(name), PROVEN[name]
    last = last_finish(a_project(project, best), seconds=3, workers=1)
    assert last is not None
    assert last.value <= best
    assert last.bound <= best


@pytest.mark.skipif(open_data() is None, reason="PARTLINE_OPEN_DATA names no folder of open data")
@pytest.mark.parametrize("kind", ["mspsp-young relaxed", "mspsp-minizinc relaxed", "operators"])
def test_no_published_optimum_of_the_open_data_is_contradicted(kind: str) -> None:
    few = cases(kind, largest=200)[:3]
    assert few
    for case in few:
        row = run(case, 2, 1)
        assert row is not None
        assert not row.wrong, row
