"""A person's handwork of the day in the model, and on the board of the greedy start.

The rules on hours speak of people, and a person may have several shifts on a day. What she did on
other days is known: `Day.elsewhere`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from ortools.sat.python import cp_model

from schemas.plan import BreakKind
from schemas.rules import RuleSetting
from solver.model.dues import concerns_shift
from solver.model.facts import Day, DayShift, Span
from solver.model.placement import DayPlacement
from solver.model.variables import BreakVar, DayModel, Literal


@dataclass(frozen=True)
class Handwork:
    """One person's day: her handwork in order, and her rest breaks, which count as work too."""

    person: str
    spans: list[Span]
    rests: list[Span]


def people(day: Day, setting: RuleSetting) -> Iterator[tuple[str, list[DayShift]]]:
    """Everybody the rule looks at, with her shifts of the day."""
    found: dict[str, list[DayShift]] = {}
    for shift in day.shifts:
        if concerns_shift(setting, shift):
            found.setdefault(shift.person.id, []).append(shift)
    yield from found.items()


def handwork(day: Day, placement: DayPlacement) -> Iterator[Handwork]:
    """Everybody's day in a placement."""
    taken: dict[int, list[Span]] = defaultdict(list)
    for placed in placement.visits:
        for phase in placed.phases:
            taken[phase.shift].append((phase.start, phase.end))
            for help_ in phase.help:
                taken[help_.shift].append((help_.start, help_.end))
    by_person: dict[str, list[DayShift]] = defaultdict(list)
    for shift in day.shifts:
        by_person[shift.person.id].append(shift)
    for person, shifts in by_person.items():
        own = {shift.index for shift in shifts}
        breaks = [rest for rest in placement.breaks if rest.due.shift in own]
        spans = [span for index in own for span in taken[index]]
        holes = [(rest.start, rest.end) for rest in breaks if rest.inside is not None]
        rests = [(r.start, r.end) for r in breaks if r.due.kind is BreakKind.REST]
        yield Handwork(person, joined(_without(spans, holes), 1), rests)


def hold_sum(model: DayModel, setting: RuleSetting, left: Callable[[str], int | None]) -> None:
    """Post that the work and the rests of each person take at most `left` minutes of the day.

    Where `left` is None nothing is asked. A soft setting lets a person off for its weight.
    """
    for person, shifts in people(model.day, setting):
        minutes = left(person)
        if minutes is not None:
            held = model.cp.add(_worked(model, shifts) <= model.day.down(minutes))
            _or_pay(model, setting, person, [held])


def hold_between(
    model: DayModel, setting: RuleSetting, shifts: list[DayShift], *sides: Span
) -> None:
    """Post that all work of these shifts lies between the steps of one of the `sides`."""
    cp, person = model.cp, shifts[0].person.id
    constraints = []
    choices = [model.new_bool(f"{person} {setting.code} {side}") for side in sides]
    constraints.append(cp.add_bool_or(choices))
    for (first, last), choice in zip(sides, choices, strict=True):
        for start, end, present in _stretches(model, shifts):
            cp.add(start >= first).only_enforce_if(present, choice)
            cp.add(end <= last).only_enforce_if(present, choice)
    _or_pay(model, setting, person, constraints)


def _or_pay(
    model: DayModel, setting: RuleSetting, person: str, held: list[cp_model.Constraint]
) -> None:
    """Leave the constraints hard, or let the person off for the weight of the soft setting."""
    if setting.hard:
        return
    kept = model.new_bool(f"{person} keeps {setting.code}")
    for constraint in held:
        constraint.only_enforce_if(kept)
    model.penalties.append(setting.weight * (1 - kept))


def _stretches(
    model: DayModel, shifts: list[DayShift]
) -> Iterator[tuple[cp_model.IntVar, cp_model.IntVar, Literal]]:
    own = {shift.index for shift in shifts}
    for visit in model.visits:
        for phase in visit.phases:
            for index, literal in phase.performer.items():
                if index in own:
                    yield phase.start, phase.end, literal
            for index, help_ in phase.help.items():
                if index in own:
                    yield help_.start, help_.end, help_.present


def _worked(model: DayModel, shifts: list[DayShift]) -> cp_model.LinearExprT:
    """Steps of handwork and rest breaks, breaks inside phases left out."""
    own = {shift.index: shift for shift in shifts}
    parts: list[cp_model.LinearExprT] = []
    for visit in model.visits:
        for phase in visit.phases:
            work = visit.facts.phases[phase.number]
            for index, performs in phase.performer.items():
                if index not in own:
                    continue
                alone = model.day.work(work, own[index].person)
                if not phase.help:
                    parts.append(alone * performs)
                    continue
                hands = model.cp.new_int_var(0, alone, f"{visit.facts.id} hands of {index}")
                inside = sum(
                    model.breaks[key].due.size * literal
                    for key, literal in phase.inside.items()
                    if key[1] == index
                )
                model.cp.add(hands >= phase.size - inside).only_enforce_if(performs)
                parts.append(hands)
            parts += [help_.size for index, help_ in phase.help.items() if index in own]
    parts += [
        rest.due.size * rest.taken
        for rest in breaks_of(model, shifts)
        if rest.due.kind is BreakKind.REST
    ]
    return sum(parts)


def steps_of(work: Handwork) -> int:
    """Steps of handwork and rest breaks of a day."""
    return sum(end - start for start, end in (*work.spans, *work.rests))


def cost(
    day: Day,
    placement: DayPlacement,
    code: str,
    allows: Callable[[Day, RuleSetting, Handwork], bool],
) -> int:
    """The weight of a soft rule on hours, once for each person whose day it does not allow."""
    setting = day.setting(code)
    if setting is None or setting.hard:
        return 0
    concerned = {name for name, _ in people(day, setting)}
    return setting.weight * sum(
        work.person in concerned and not allows(day, setting, work)
        for work in handwork(day, placement)
    )


def _without(spans: Iterable[Span], holes: list[Span]) -> list[Span]:
    found = []
    for start, end in spans:
        at = start
        for first, last in sorted(holes):
            if at < last and first < end:
                if at < first:
                    found.append((at, first))
                at = last
        if at < end:
            found.append((at, end))
    return found


def duties(model: DayModel, shifts: list[DayShift]) -> list[cp_model.IntervalVar]:
    """Phases from start to end, breaks inside included, and spans of help."""
    own = {shift.index for shift in shifts}
    found = []
    for visit in model.visits:
        for phase in visit.phases:
            found += [each for index, each in phase.intervals.items() if index in own]
            found += [each.interval for index, each in phase.help.items() if index in own]
    return found


def breaks_of(model: DayModel, shifts: list[DayShift]) -> list[BreakVar]:
    own = {shift.index for shift in shifts}
    return [rest for key, rest in model.breaks.items() if key[1] in own]


def joined(spans: list[Span], pause: int) -> list[Span]:
    """The spans in order, those less than `pause` steps apart joined."""
    found: list[Span] = []
    for start, end in sorted(spans):
        if found and start - found[-1][1] < pause:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((start, end))
    return found
