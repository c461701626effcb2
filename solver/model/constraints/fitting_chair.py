"""`fitting-chair`: a chair with the features asked for, open for the whole visit.

Only groups with the features have a literal; here one is chosen, and its closures are kept clear.
"""

from __future__ import annotations

from solver.model.variables import DayModel

CODE = "fitting-chair"


def post(model: DayModel) -> None:
    cp, day = model.cp, model.day
    for visit in model.visits:
        if not visit.facts.needs_chair:
            continue
        if not visit.groups:
            wanted = ", ".join(visit.facts.visit.chair_features)
            model.cannot(visit, CODE, f"no chair has {wanted}" if wanted else "there is no chair")
            continue
        cp.add(sum(visit.groups.values()) == visit.present)
        for index, literal in visit.groups.items():
            closed = day.groups[index].closed
            if not closed:
                continue
            name = f"{visit.facts.id} in group {index}"
            taken = cp.new_optional_interval_var(
                visit.start, visit.length, visit.end, literal, name
            )
            for start, end in closed:
                cp.add_no_overlap([taken, cp.new_fixed_size_interval_var(start, end - start, "")])
