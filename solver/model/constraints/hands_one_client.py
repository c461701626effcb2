"""`hands-one-client`: one pair of hands is in one place, or in her break.

A break inside a phase is covered by the phase itself, which holds the hands from start to end.
"""

from __future__ import annotations

from collections import defaultdict

from ortools.sat.python import cp_model

from solver.model.variables import DayModel

CODE = "hands-one-client"


def post(model: DayModel) -> None:
    cp = model.cp
    duties: dict[int, list[cp_model.IntervalVar]] = defaultdict(list)
    for visit in model.visits:
        for phase in visit.phases:
            for index, interval in phase.intervals.items():
                duties[index].append(interval)
            for index, help_ in phase.help.items():
                duties[index].append(help_.interval)
    for index, meal in model.meals.items():
        if duties[index]:
            duties[index].append(
                cp.new_optional_fixed_size_interval_var(
                    meal.start, meal.size, meal.standing, f"{meal.shift.shift.id} meal"
                )
            )
    for intervals in duties.values():
        cp.add_no_overlap(intervals)
