"""Every visit is answered once, and gets its phases in order and in their true length.

Each visit that asks is either placed once or declined. A placed visit has the phases its work
states, one after the other, and its window runs from the first start to the last end. With the
whole numbers `pace` and `e_i` in hundredths, on a grid of `g` minutes,

    own work      w = ceil_g(minutes * pace / 100)
    unshared      duration = w + break inside
    shared        duration = max(g, ceil_g(w + break inside - sum(e_i * help_i) / 100))

so 240 min of a lead of pace 1, with an assistant of help rate 0.5 beside her for 160 of them and a
break of 30 inside, last 240 + 30 - 80 = 190 minutes.
"""

from __future__ import annotations

from collections.abc import Iterator

from schemas.plan import PlannedPhase, PlannedVisit
from schemas.rules import RuleSetting
from schemas.work import PhaseWork
from solver.rules.answered import unanswered
from solver.rules.reading import Reading, covered, span
from solver.rules.rule import Breach, NoParameters, Rule
from solver.rules.true_length import duration, own_work


def _check(reading: Reading, _: NoParameters, __: RuleSetting) -> Iterator[Breach]:
    yield from unanswered(reading)
    for planned in reading.plan.visits:
        if planned.visit in reading.visits:
            yield from _order(reading, planned)
            yield from _window(reading, planned)
            for work, phase in reading.works(planned):
                if work is not None:
                    yield from _help(reading, planned, work, phase)
                    yield from _length(reading, planned, work, phase)
    yield from _breaks(reading)


def _order(reading: Reading, planned: PlannedVisit) -> Iterator[Breach]:
    asked = [work.kind for work in reading.visits[planned.visit].phases]
    given = [phase.kind for phase in planned.phases]
    start, end = reading.occupied(planned)
    client = reading.client(planned.visit)
    if given != asked:
        yield Breach(
            detail=f"{client}'s work is {', '.join(asked) or 'not stated yet'}; the plan has "
            f"{', '.join(given)}, {reading.when(start, end)}.",
            remedy="Give the visit exactly its phases, in their order.",
            visits=(planned.visit,),
            window=reading.window(start, end),
        )
    for before, after in zip(planned.phases, planned.phases[1:], strict=False):
        ended, begun = span(before.window)[1], span(after.window)[0]
        if begun < ended:
            yield Breach(
                detail=f"{client}'s {after.kind} starts at {reading.at(begun)}, before her "
                f"{before.kind} ends at {reading.at(ended)}.",
                remedy=f"Start {after.kind} at {reading.at(ended)} or later.",
                visits=(planned.visit,),
                window=reading.window(begun, ended),
            )


def _window(reading: Reading, planned: PlannedVisit) -> Iterator[Breach]:
    start, end = span(planned.window)
    first = min(span(phase.window)[0] for phase in planned.phases)
    last = max(span(phase.window)[1] for phase in planned.phases)
    if (start, end) != (first, last):
        yield Breach(
            detail=f"{reading.client(planned.visit)}'s visit is written down as "
            f"{reading.when(start, end)}, its phases as {reading.when(first, last)}.",
            remedy="Let the visit run from the start of its first phase to the end of its last.",
            visits=(planned.visit,),
            window=reading.window(min(start, first), max(end, last)),
        )


def _help(
    reading: Reading, planned: PlannedVisit, work: PhaseWork, phase: PlannedPhase
) -> Iterator[Breach]:
    start, end = span(phase.window)
    client, helpers = reading.client(planned.visit), set[str]()
    for help_ in phase.help:
        first, last = span(help_.window)
        who = reading.person(help_.staff)
        if not work.shared:
            problem = f"{who} helps with {client}'s {work.kind}, which is not shared"
        elif first < start or last > end:
            problem = f"{who} helps with {client}'s {work.kind} outside its time"
        elif help_.staff in helpers:
            problem = f"{who} helps with {client}'s {work.kind} a second time"
        else:
            problem = ""
        helpers.add(help_.staff)
        if problem:
            yield Breach(
                detail=f"{problem}, {reading.when(first, last)}.",
                remedy=f"Help is one stretch per assistant, inside a shared phase; this one is "
                f"{reading.when(start, end)}.",
                visits=(planned.visit,),
                staff=(help_.staff,),
                window=reading.window(first, last),
            )


def _length(
    reading: Reading, planned: PlannedVisit, work: PhaseWork, phase: PlannedPhase
) -> Iterator[Breach]:
    performer = reading.staff.get(phase.performer)
    if performer is None:
        return  # a stranger has no pace; skilled-hands names her
    start, end = span(phase.window)
    rest = covered(reading.breaks_inside(planned, work, phase))
    helped = [
        (reading.staff[help_.staff], last - first)
        for help_ in phase.help
        if help_.staff in reading.staff
        for first, last in [span(help_.window)]
    ]
    step = reading.day_book.grid.minutes
    due = duration(work, performer, helped, rest, step)
    if end - start == due:
        return
    figures = f"{own_work(work, performer, step)} min of work"
    figures += f" + {rest} min of break" if rest else ""
    if work.shared and helped:
        figures += f", less {sum(minutes for _, minutes in helped)} min of help at its rate"
    client = reading.client(planned.visit)
    yield Breach(
        detail=f"{client}'s {work.kind} with {reading.person(phase.performer)} lasts "
        f"{end - start} min, {reading.when(start, end)}; it takes {due} min ({figures}).",
        remedy=f"Let it end at {reading.at(start + due)}.",
        visits=(planned.visit,),
        staff=(phase.performer,),
        window=reading.window(start, end),
    )


def _breaks(reading: Reading) -> Iterator[Breach]:
    """Breaks that claim to lie inside a visit and do not."""
    inside: set[tuple[str, str, int, int]] = set()
    for planned in reading.plan.visits:
        for work, phase in reading.works(planned):
            for first, last in reading.breaks_inside(planned, work, phase):
                inside.add((phase.performer, planned.visit, first, last))
    for planned_break in reading.plan.breaks:
        first, last = span(planned_break.window)
        visit = planned_break.inside
        if visit is None or (planned_break.staff, visit, first, last) in inside:
            continue
        who, client = reading.person(planned_break.staff), reading.client(visit)
        yield Breach(
            detail=f"{who}'s {planned_break.kind.value} break, {reading.when(first, last)}, is "
            f"said to lie inside {client}'s visit, but not in a phase of hers that allows one.",
            remedy="Move it inside such a phase, or say that it lies outside every visit.",
            visits=(visit,),
            staff=(planned_break.staff,),
            window=reading.window(first, last),
        )


RULE = Rule(
    code="work-done",
    sentence="Every visit is answered once, and gets its phases in order and in their true length.",
    parameters=NoParameters,
    check=_check,
    always_hard=True,
)
