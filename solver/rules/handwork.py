"""When hands work: what the rules on hours count.

Handwork is the phases a person performs less her breaks inside them, and the windows in which she
helps. Time in the salon between clients is not handwork, and a rota is not judged here: a shift is
time in which she may be asked to work.
"""

from __future__ import annotations

from collections import defaultdict

from schemas.plan import BreakKind
from schemas.rules import RuleSetting
from solver.rules.reading import Reading, Span, span
from solver.rules.rule import concerns
from solver.rules.stretches import without


def handwork(reading: Reading) -> dict[str, list[Span]]:
    """By person, her handwork in order of time; what overlaps or touches is one span."""
    spans: dict[str, list[Span]] = defaultdict(list)
    for planned in reading.plan.visits:
        for work, phase in reading.works(planned):
            inside = reading.breaks_inside(planned, work, phase)
            spans[phase.performer].extend(without(*span(phase.window), inside))
            for help_ in phase.help:
                spans[help_.staff].append(span(help_.window))
    return {staff: joined(own, 1) for staff, own in spans.items()}


def paid_work(reading: Reading) -> dict[str, list[Span]]:
    """Handwork and rest breaks, which count as time worked (29 CFR 785.18); meals do not."""
    spans = defaultdict(list, handwork(reading))
    for staff, rests in reading.rests.items():
        own = [(rest.start, rest.end) for rest in rests if rest.planned.kind is BreakKind.REST]
        if own:
            spans[staff] = joined([*spans[staff], *own], 1)
    return dict(spans)


def joined(spans: list[Span], pause: int) -> list[Span]:
    """The spans in order, those less than `pause` minutes apart joined.

    >>> joined([(0, 60), (70, 90), (120, 130)], 30)
    [(0, 90), (120, 130)]
    """
    found: list[Span] = []
    for start, end in sorted(each for each in spans if each[0] < each[1]):
        if found and start - found[-1][1] < pause:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((start, end))
    return found


def is_concerned(reading: Reading, staff: str, setting: RuleSetting) -> bool:
    """Whether a rule scoped by staff tags looks at this person."""
    person = reading.staff.get(staff)
    return (
        person is not None
        and not person.retired
        and concerns(person.tags, setting.scope.staff_tags)
    )


def hours(minutes: int) -> str:
    """`5 h 30 min`, for sentences."""
    whole, rest = divmod(minutes, 60)
    return f"{whole} h {rest} min" if rest else f"{whole} h"
