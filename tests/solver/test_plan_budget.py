"""The planner keeps its time and heeds a stop, told without a clock that could upset the test.

How many seconds it takes is measured by `tests.benchmarks.budget`.
"""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic
from typing import Any

import pytest
from ortools.sat.python import cp_model

from schemas.plan import SolveStatus
from solver.model import conflict
from solver.plan import plan_days
from tests.benchmarks.salon_days import salon_days
from tests.builders import a_booking, a_day_book

LEAST = 0.01
"""Seconds that a solve gets in any case."""


def listen(
    monkeypatch: pytest.MonkeyPatch,
    before: Callable[[cp_model.CpSolver], None],
    after: Callable[[], None] = lambda: None,
) -> None:
    """Have `before` and `after` called round every solve of the engine."""
    solve = cp_model.CpSolver.solve

    def heard(self: cp_model.CpSolver, *arguments: Any, **named: Any) -> Any:
        before(self)
        try:
            return solve(self, *arguments, **named)
        finally:
            after()

    monkeypatch.setattr(cp_model.CpSolver, "solve", heard)


def test_no_solve_is_given_more_than_what_was_left(monkeypatch: pytest.MonkeyPatch) -> None:
    seconds, begun = 20, monotonic()
    spent = [0.0]  # the time at the end of each solve: what is left after it is left to the next
    given: list[float] = []

    def note(solver: cp_model.CpSolver) -> None:
        given.append(solver.parameters.max_time_in_seconds)
        assert given[-1] <= max(LEAST, seconds - spent[-1])

    listen(monkeypatch, note, lambda: spent.append(monotonic() - begun))
    heard = set[str]()
    result = plan_days(
        salon_days("S", 2),
        seconds=seconds,
        on_progress=lambda progress: heard.add(progress.tier),
        stop=lambda: "last-finish" in heard,
    )
    assert result.plan is not None
    assert len(given) > 1


@pytest.mark.parametrize("questions", [1, 3, 30, 100])
def test_nothing_more_is_solved_once_a_stop_was_told(
    monkeypatch: pytest.MonkeyPatch, questions: int
) -> None:
    """The stop is told at the n-th question; a solve that runs by then is the last."""
    asked, late = 0, list[int]()

    def stop() -> bool:
        nonlocal asked
        asked += 1
        return asked >= questions

    def note(_: cp_model.CpSolver) -> None:
        if asked >= questions:
            late.append(asked)

    listen(monkeypatch, note)
    result = plan_days(salon_days("M", 2), seconds=60, stop=stop)
    assert asked >= questions
    assert late == []
    assert result.status in {SolveStatus.FEASIBLE, SolveStatus.OUT_OF_TIME}


def test_reasons_for_promises_that_collide_are_not_sought_past_the_time(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Building a model takes time as well: with none left, none is built for each promise."""
    built, model = list[int](), conflict._model

    def count(day: Any, visits: Any, must: bool) -> Any:
        built.append(len(visits))
        return model(day, visits, must)

    monkeypatch.setattr(conflict, "_model", count)
    book = a_day_book(visits=[a_booking(f"at-nine-{n}", "9:00", 60) for n in range(12)])
    # What can be kept together is found out; then the time is over.
    result = plan_days(book, seconds=30, stop=lambda: len(built) > 1)
    assert result.status is SolveStatus.INFEASIBLE
    assert len(built) <= 2
