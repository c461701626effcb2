"""Give each due break its variables: it stands alone among the duties, or lies inside a phase.

Exactly one of: the break stands alone, or it lies inside one breakable phase of this performer:
`phase start <= break start`, `break end <= phase end`, and the phase is stretched by the break
(`work-done`). Before and after are left to the hands' no-overlap, and so is that two breaks of one
shift never overlap.
"""

from __future__ import annotations

from collections.abc import Iterable

from solver.model.dues import Due
from solver.model.variables import BreakVar, DayModel, Literal, Obstacle


def post_dues(model: DayModel, dues: Iterable[Due], what: str) -> None:
    """Post each break; `what` names it where a shift leaves no room."""
    for due in dues:
        if due.key in model.day.answered:
            continue
        if due.fits:
            _post(model, due)
        elif due.hard:
            shift = model.day.shifts[due.shift]
            reason = f"the shift of {shift.person.name} leaves no room for {what}"
            model.obstacles.append(Obstacle(due.rule, reason, shift=shift))
        else:
            model.penalties.append(model.cp.new_constant(due.weight))


def _post(model: DayModel, due: Due) -> None:
    cp = model.cp
    name = f"{model.day.shifts[due.shift].shift.id} {due.rule} {due.key[2]}"
    taken = cp.new_constant(1) if due.hard else cp.new_bool_var(f"{name} taken")
    standing = cp.new_bool_var(f"{name} standing")
    start = cp.new_int_var(due.first, due.last, name)
    rest = model.breaks[due.key] = BreakVar(due, start, standing, taken)
    inside = _inside(model, rest) if due.inside else []
    cp.add(standing + sum(inside) == taken)
    if not due.hard:
        model.penalties.append(due.weight * (1 - taken))
    before = model.breaks.get(due.after) if due.after is not None else None
    if before is not None:
        follows = cp.add(before.start + before.due.size <= start)
        follows.only_enforce_if(before.taken, taken)
        cp.add_implication(taken, before.taken)


def _inside(model: DayModel, rest: BreakVar) -> list[Literal]:
    """One literal for each breakable phase that this shift may perform."""
    cp, found = model.cp, []
    for visit in model.visits:
        for phase, shift, performs in model.by_shift(visit):
            if shift.index != rest.due.shift:
                continue
            if not visit.facts.phases[phase.number].breakable:
                continue
            name = f"{visit.facts.id}/{phase.number} holds {rest.due.rule} {rest.due.key[2]}"
            inside = cp.new_bool_var(name)
            cp.add_implication(inside, performs)
            cp.add(phase.start <= rest.start).only_enforce_if(inside)
            cp.add(rest.start + rest.due.size <= phase.end).only_enforce_if(inside)
            phase.inside[rest.due.key] = inside
            found.append(inside)
    return found
