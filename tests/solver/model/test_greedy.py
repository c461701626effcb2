"""The greedy start: quick, legal, and taken up by the search."""

from __future__ import annotations

import pytest
from ortools.sat.python import cp_model

from solver.checker import check
from solver.days import part_days
from solver.model.build import build_day
from solver.model.constraints import post_all
from solver.model.facts import Day
from solver.model.greedy import Greedy
from solver.model.objective import goals
from solver.model.read import hint_placement
from solver.model.variables import build_variables
from solver.rules import settings_in_force
from solver.writing import write_plan
from tests.benchmarks.salon_days import salon_days


def the_day(name: str, seed: int) -> Day:
    book = salon_days(name, seed)
    (part,) = part_days(book)
    settings = settings_in_force(book)
    return build_day(book, part.openings, part.shifts, part.visits, settings)


@pytest.mark.parametrize(("name", "seed"), [("studio", 1), ("S", 1), ("S", 3), ("M", 2)])
def test_a_greedy_plan_has_no_hard_finding_and_only_gets_better(name: str, seed: int) -> None:
    day, worth = the_day(name, seed), []
    greedy = Greedy(day, seed=1)
    rounds = iter(range(40))
    greedy.run(lambda: next(rounds, None) is None, lambda _: worth.append(greedy.value))
    assert greedy.best is not None
    assert worth == sorted(set(worth))
    findings = check(salon_days(name, seed), write_plan(day, greedy.best))
    assert not [finding for finding in findings if finding.hard]


@pytest.mark.parametrize(("name", "seed"), [("studio", 1), ("S", 1), ("M", 2)])
def test_the_first_value_of_the_search_is_the_hints(name: str, seed: int) -> None:
    # An invalid hint is ignored in silence, so it is made binding here.
    day = the_day(name, seed)
    greedy = Greedy(day, seed=1)
    greedy.run(lambda: True, lambda _: None)
    assert greedy.best is not None
    model = build_variables(day)
    post_all(model)
    goal = goals(model)[0]
    hint_placement(model, greedy.best)
    model.cp.maximize(goal.expression)
    solver = cp_model.CpSolver()
    solver.parameters.fix_variables_to_their_hinted_value = True
    solver.parameters.num_workers = 1
    assert solver.solve(model.cp) == cp_model.OPTIMAL
    assert solver.objective_value == greedy.value > 0


def test_what_is_booked_and_placed_stays_where_it_is() -> None:
    # The first plan of a book in which most visits are placed keeps every one of them.
    book = salon_days("W", 1)
    settings = settings_in_force(book)
    part = part_days(book)[0]
    day = build_day(book, part.openings, part.shifts, part.visits, settings)
    greedy = Greedy(day, seed=1)
    greedy.run(lambda: True, lambda _: None)
    assert greedy.best is not None
    plan = write_plan(day, greedy.best)
    before = {booking.id: booking.placed for booking in part.bookings}
    now = {visit.visit: visit for visit in plan.visits}
    assert len(before) > 5
    for visit, placed in before.items():
        assert placed is not None
        assert (now[visit].phases, now[visit].lead) == (placed.phases, placed.lead)
    assert not [
        finding for finding in check(book, plan) if finding.hard and set(finding.visits) & set(now)
    ]
