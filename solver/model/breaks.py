"""Give each due break its variables: it stands alone among the duties, or lies inside a phase.

Exactly one of: the break stands alone, or it lies inside one breakable phase of this performer:
`phase start <= break start`, `break end <= phase end`, and the phase is stretched by the break
(`work-done`). Before and after are left to the hands' no-overlap, and so is that two breaks of one
shift never overlap. A due that may share another's break (`sharing`) has that as a third way; one
that hangs on how much overtime is worked asks for nothing where that is not so.
"""

from __future__ import annotations

from collections.abc import Iterable

from ortools.sat.python import cp_model

from solver.model.asked import break_total
from solver.model.asked_breaks import dues_of
from solver.model.dues import Due, Key
from solver.model.sharing import parts_in, shared_starts, sharing
from solver.model.variables import BreakVar, DayModel, Literal, Obstacle


def post_dues(model: DayModel, rule: str, what: str) -> None:
    """Post the breaks of a rule; `what` names one where a shift leaves no room."""
    post_breaks(model, (due for due in dues_of(model.day) if due.rule == rule), what)


def post_breaks(model: DayModel, dues: Iterable[Due], what: str) -> None:
    """Post each of these breaks."""
    shared = {due.key for due, _ in sharing(dues_of(model.day))}
    for due in dues:
        if due.fits:
            _post(model, due, own=due.key not in shared)
        elif due.over is not None:
            _cannot_be(model, due)
        elif due.hard:
            shift = model.day.shifts[due.shift]
            reason = f"the shift of {shift.person.name} leaves no room for {what}"
            model.obstacles.append(Obstacle(due.rule, reason, shift=shift))
        else:
            model.penalties.append(model.cp.new_constant(due.weight))


def _post(model: DayModel, due: Due, *, own: bool) -> None:
    cp = model.cp
    name = f"{model.day.shifts[due.shift].shift.id} {due.rule} {due.key[2]}"
    certain = due.hard and own and due.over is None
    taken = cp.new_constant(1) if certain else cp.new_bool_var(f"{name} taken")
    standing = cp.new_bool_var(f"{name} standing")
    start = cp.new_int_var(due.first, due.last, name)
    rest = model.breaks[due.key] = BreakVar(due, start, standing, taken, certain)
    inside = _inside(model, rest) if due.inside else []
    cp.add(standing + sum(inside) == taken)


def _asked(model: DayModel, due: Due) -> Literal:
    """True where as much overtime is worked as the due hangs on."""
    if due.over is None:
        return model.cp.new_constant(1)
    asked = model.new_bool(f"{due.key} is asked for")
    over = model.over[due.shift]
    span = cp_model.Domain(*due.over)
    model.cp.add_linear_expression_in_domain(over, span).only_enforce_if(asked)
    others = cp_model.Domain(0, model.day.shifts[due.shift].overtime).intersection_with(
        span.complement()
    )
    model.cp.add_linear_expression_in_domain(over, others).only_enforce_if(~asked)
    return asked


def _cannot_be(model: DayModel, due: Due) -> None:
    """So much overtime leaves no room for the break: it is not worked, or costs."""
    asked = _asked(model, due)
    if due.hard:
        model.cp.add(asked == 0)
    else:
        model.penalties.append(due.weight * asked)


def relate_breaks(model: DayModel) -> None:
    """Post which breaks follow which, which answer for others, and what a missing one costs."""
    cp = model.cp
    pairs = [
        (due, owner)
        for due, owner in sharing(dues_of(model.day))
        if due.key in model.breaks and owner.key in model.breaks
    ]
    for due, owner in pairs:
        _share(model, due, owner)
    _few_parts(model, pairs)
    for rest in model.breaks.values():
        due = rest.due
        if not rest.certain:
            asked, given = _asked(model, due), cp_model.LinearExpr.sum(_ways(model, rest))
            if due.hard:
                cp.add(given == asked)
            else:
                cp.add(given <= asked)
                model.penalties.append(due.weight * asked - due.weight * given)
        before = model.breaks.get(due.after) if due.after is not None else None
        if before is not None:
            follows = cp.add(before.start + before.due.size <= rest.start)
            follows.only_enforce_if(before.taken, rest.taken)
            if due.rule == break_total.CODE:
                cp.add(sum(_ways(model, rest)) <= sum(_ways(model, before)))
            else:
                cp.add_implication(rest.taken, before.taken)


def _ways(model: DayModel, rest: BreakVar) -> list[Literal]:
    """The ways in which a due is answered: by a break of its own, or by one it shares."""
    shares = [literal for (due, _), literal in model.shares.items() if due == rest.due.key]
    return [rest.taken, *shares]


def _few_parts(model: DayModel, pairs: list[tuple[Due, Due]]) -> None:
    """A break counts for as many parts as it is long."""
    served: dict[tuple[str, Key], list[tuple[Due, Due]]] = {}
    for due, owner in pairs:
        served.setdefault((due.rule, owner.key), []).append((due, owner))
    for these in served.values():
        most = parts_in(these[0][1], these[0][0])
        if these[0][0].rule == break_total.CODE and len(these) > most:
            model.cp.add(sum(model.shares[due.key, owner.key] for due, owner in these) <= most)


def _share(model: DayModel, due: Due, owner: Due) -> None:
    """A literal that lets the owner's break answer this due too."""
    cp, theirs = model.cp, model.breaks[owner.key]
    starts = shared_starts(owner, due)
    assert starts is not None
    both = model.shares[due.key, owner.key] = model.new_bool(f"{owner.key} answers {due.key}")
    cp.add_implication(both, theirs.taken)
    cp.add(theirs.start >= starts[0]).only_enforce_if(both)
    cp.add(theirs.start <= starts[1]).only_enforce_if(both)
    if not due.inside:
        cp.add_implication(both, theirs.standing)
    if due.rule == break_total.CODE or due.after is None:
        return
    if due.after in model.breaks:
        before = model.breaks[due.after]
        cp.add_implication(both, before.taken)
        cp.add(before.start + before.due.size <= theirs.start).only_enforce_if(both)
    else:
        cp.add(both == 0)


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
