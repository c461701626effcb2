"""A person's handwork of the day in the model, and on the board of the greedy start.

The rules on hours speak of people, and a person may have several shifts on a day. What she did on
days planned before is fixed: `Day.worked`.
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
from solver.model.variables import BreakVar, DayModel


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
