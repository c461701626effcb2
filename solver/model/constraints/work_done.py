"""`work-done`: phases in order, and `duration + sum(rate * help) = work + break inside`.

In hundredths of steps, so that everything is an integer. A shared phase is rounded up to a whole
step: `100 work + 100 break <= 100 size + sum(rate * help) < 100 work + 100 break + 100`.
Worked example on 5-min steps: 300 min of work (60 steps), a break of 30 inside (6), an assistant
at 0.5 for 120 min (24): 60 + 6 - 12 = 54 steps, 270 min.
"""

from __future__ import annotations

from itertools import pairwise

from ortools.sat.python import cp_model

from solver.model.facts import hundredths
from solver.model.variables import DayModel, HelpVar, PhaseVar, VisitVar

CODE = "work-done"


def post(model: DayModel) -> None:
    for visit in model.visits:
        for earlier, later in pairwise(visit.phases):
            model.cp.add(earlier.end <= later.start)
        for phase in visit.phases:
            _duration(model, visit, phase)
            for help_ in phase.help.values():
                _help_inside(model, phase, help_)


def _duration(model: DayModel, visit: VisitVar, phase: PhaseVar) -> None:
    day, cp = model.day, model.cp
    work = visit.facts.phases[phase.number]
    needed = sum(
        day.work(work, day.shifts[index].person) * literal
        for index, literal in phase.performer.items()
    ) + sum(model.breaks[key].due.size * literal for key, literal in phase.inside.items())
    if not phase.help:
        cp.add(phase.size == needed)
        return
    done: cp_model.LinearExprT = 100 * phase.size + sum(
        hundredths(help_.shift.person.help_rate) * help_.size for help_ in phase.help.values()
    )
    cp.add(done >= 100 * needed)
    cp.add(done <= 100 * needed + 99)
    # However much help there is, the phase takes a step.
    cp.add(phase.size >= visit.present)


def _help_inside(model: DayModel, phase: PhaseVar, help_: HelpVar) -> None:
    cp = model.cp
    cp.add(help_.start >= phase.start).only_enforce_if(help_.present)
    cp.add(help_.end <= phase.end).only_enforce_if(help_.present)
    cp.add(help_.size <= phase.size)
