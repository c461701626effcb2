"""`chair-one-client`: no more visits at one time than chairs of a group.

Equal chairs are one cumulative resource; they get their names afterwards by interval colouring,
which needs no more chairs than the peak.
"""

from __future__ import annotations

from solver.model.variables import DayModel

CODE = "chair-one-client"


def post(model: DayModel) -> None:
    cp = model.cp
    for group in model.day.groups:
        taken = [
            cp.new_optional_interval_var(
                visit.start, visit.length, visit.end, visit.groups[group.index], visit.facts.id
            )
            for visit in model.visits
            if group.index in visit.groups
        ]
        if taken:
            cp.add_cumulative(taken, [1] * len(taken), len(group.chairs))
