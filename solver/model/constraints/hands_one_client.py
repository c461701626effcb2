"""`hands-one-client`: one pair of hands is in one place, or in her break.

A break inside a phase is covered by the phase itself, which holds the hands from start to end.
"""

from __future__ import annotations

from collections import defaultdict

from ortools.sat.python import cp_model

from solver.model.variables import BreakVar, DayModel, Literal

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
    breaks: dict[int, list[BreakVar]] = defaultdict(list)
    for rest in model.breaks.values():
        breaks[rest.due.shift].append(rest)
    for index, rests in breaks.items():
        if duties[index]:
            duties[index].extend(_interval(model, rest, rest.standing) for rest in rests)
        if len(rests) > 1:
            # Two breaks inside one phase are apart too; what stands alone is held apart above.
            cp.add_no_overlap([_interval(model, rest, rest.taken) for rest in rests])
    for intervals in duties.values():
        cp.add_no_overlap(intervals)


def _interval(model: DayModel, rest: BreakVar, present: Literal) -> cp_model.IntervalVar:
    return model.cp.new_optional_fixed_size_interval_var(
        rest.start, rest.due.size, present, f"{rest.due.key}"
    )
