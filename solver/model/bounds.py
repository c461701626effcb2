"""Redundant sums that make the proof short: hands and chairs cannot give more time than there is.

No-overlap and cumulative constraints reason well about time and badly about sums of optional
spans, so the sums are stated. In hundredths of steps, for every shift `k`, with `saved[p, k]` the
work that help takes off phase `p` where `k` performs it:

    sum over p (100 work[p, k] performs[p, k] - saved[p, k]) + 100 sum over p help[p, k]
        <= 100 (steps of the shift inside the opening - steps of its breaks)
    sum over k saved[p, k] = sum over assistants s of (rate[s] help[p, s])

A break inside a phase lies in the shift like one outside, so it is taken off the shift either way.
Chairs: the lengths of all visits and their turnarounds fit the chairs' open time.
"""

from __future__ import annotations

from collections import defaultdict

from ortools.sat.python import cp_model

from solver.model.facts import DayShift, hundredths
from solver.model.variables import DayModel, PhaseVar, VisitVar


def post_bounds(model: DayModel) -> None:
    """Post the sums. They follow from the rules, and forbid nothing."""
    loads: dict[int, list[cp_model.LinearExprT]] = defaultdict(list)
    for visit in model.visits:
        for phase in visit.phases:
            _loads(model, visit, phase, loads)
    for shift in model.day.shifts:
        if loads[shift.index]:
            model.cp.add(sum(loads[shift.index]) <= 100 * _capacity(model, shift))
    _chairs(model)


def _loads(
    model: DayModel,
    visit: VisitVar,
    phase: PhaseVar,
    loads: dict[int, list[cp_model.LinearExprT]],
) -> None:
    """What the phase takes of each shift, in hundredths of steps."""
    cp, work = model.cp, visit.facts.phases[phase.number]
    saved = []
    for index, performs in phase.performer.items():
        alone = model.day.work(work, model.day.shifts[index].person)
        loads[index].append(100 * alone * performs)
        if phase.help:
            most = _most_saved(model, visit, phase, index, alone)
            name = f"{visit.facts.id}/{phase.number} saved for {index}"
            share = cp.new_int_var(0, most, name)
            cp.add(share <= most * performs)
            loads[index].append(-1 * share)
            saved.append(share)
    if phase.help:
        cp.add(
            sum(saved)
            == sum(
                hundredths(help_.shift.person.help_rate) * help_.size
                for help_ in phase.help.values()
            )
        )
    for index, help_ in phase.help.items():
        loads[index].append(100 * help_.size)


def _most_saved(model: DayModel, visit: VisitVar, phase: PhaseVar, index: int, alone: int) -> int:
    """The most that help can take off, in hundredths: nobody helps longer than the phase lasts."""
    rates: dict[str, int] = {}
    for help_ in phase.help.values():
        rates[help_.shift.person.id] = hundredths(help_.shift.person.help_rate)
    rates.pop(model.day.shifts[index].person.id, None)
    together = sum(sorted(rates.values())[-visit.facts.visit.max_assistants :])
    stretched = alone + sum(model.breaks[key].due.size for key in phase.inside if key[1] == index)
    # 100 size + saved < 100 stretched + 100, saved <= together * size
    return together * (100 * stretched + 99) // (100 + together)


def _capacity(model: DayModel, shift: DayShift) -> int:
    """Steps of the shift inside the openings, without the breaks it takes for certain."""
    steps = sum(
        max(0, min(end, shift.limit) - max(start, shift.start)) for start, end in model.day.openings
    )
    low, high = model.day.horizon
    # Only a break that cannot lie outside the opening takes time from it.
    return steps - sum(
        rest.due.size
        for key, rest in model.breaks.items()
        if key[1] == shift.index
        and rest.certain
        and low <= rest.due.first
        and rest.due.last + rest.due.size <= high
    )


def _chairs(model: DayModel) -> None:
    seated = [visit for visit in model.visits if visit.groups]
    chairs = sum(len(group.chairs) for group in model.day.groups)
    margins = [
        margin for visit in seated for margin in (visit.margins.get(g, 0) for g in visit.groups)
    ]
    least = min((margin for margin in margins if isinstance(margin, int)), default=0)
    if not margins or not all(isinstance(margin, int) for margin in margins):
        least = 0
    low, high = model.day.horizon
    if seated:
        model.cp.add(
            sum(visit.length + least * visit.present for visit in seated)
            <= chairs * (high - low + least)
        )
