"""The greedy start keeps the rules on breaks and hours, and the search takes it up."""

from __future__ import annotations

import pytest
from ortools.sat.python import cp_model

from solver.checker import check
from solver.days import part_days
from solver.model.build import build_day
from solver.model.constraints import post_all
from solver.model.greedy import Greedy
from solver.model.objective import goals
from solver.model.read import hint_placement
from solver.model.variables import build_variables
from solver.rules import settings_in_force
from solver.rules.presets import PRESETS
from solver.writing import write_plan
from tests.benchmarks.salon_days import salon_days
from tests.builders import a_setting

HOURS = (a_setting("daily-hours", minutes=360), a_setting("longest-stretch", minutes=240))
LAWS = [*((preset.code, preset.settings) for preset in PRESETS), ("hours", HOURS)]


SEARCHED = {"california-meals-and-rests", "hours"}
"""Laws under which the search is run as well; it takes its time."""


@pytest.mark.parametrize(("law", "rules"), LAWS, ids=[law for law, _ in LAWS])
def test_a_greedy_plan_is_lawful_and_is_the_first_value_of_the_search(law, rules):
    book = salon_days("S", 1).model_copy(update={"rules": rules})
    (part,) = part_days(book)
    day = build_day(book, part.openings, part.shifts, part.visits, settings_in_force(book))
    greedy = Greedy(day, seed=1)
    rounds = iter(range(10))
    greedy.run(lambda: next(rounds, None) is None, lambda _: None)
    assert greedy.best is not None, law
    findings = check(book, write_plan(day, greedy.best))
    assert not [finding for finding in findings if finding.hard]
    if law not in SEARCHED:
        return
    # An invalid hint is ignored in silence, so what matters of it is made binding here.
    model = build_variables(day)
    post_all(model)
    goal = goals(model)[0]
    hint_placement(model, greedy.best)
    for visit in model.visits:
        placed = any(each.visit == visit.facts.index for each in greedy.best.visits)
        model.cp.add(visit.present == int(placed))
        for each in greedy.best.visits:
            if each.visit == visit.facts.index:
                model.cp.add(visit.start == each.start)
                model.cp.add(visit.end == each.end)
                model.cp.add(visit.leads[each.lead] == 1)
    for rest in greedy.best.breaks:
        model.cp.add(model.breaks[rest.due.key].start == rest.start)
    model.cp.maximize(goal.expression)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 20
    assert solver.solve(model.cp) == cp_model.OPTIMAL
    assert solver.objective_value == greedy.value
