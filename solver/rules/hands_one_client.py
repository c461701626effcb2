"""Nobody works on two heads at once, nor works in a break.

What a person does is: the phases she performs less her breaks inside them, the windows in which she
helps, and her breaks. No two of these may overlap. A lead who braids `[9:00, 14:00)` with a break
`[12:00, 12:30)` inside is free of that client, and of every other, from 12:00 to 12:30.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from schemas.rules import RuleSetting
from solver.rules.reading import Reading, span
from solver.rules.rule import Breach, NoParameters, Rule
from solver.rules.stretches import Stretch, clashes, rest_stretches, without


def _check(reading: Reading, _: NoParameters, __: RuleSetting) -> Iterator[Breach]:
    for staff, stretches in _busy(reading).items():
        seen: set[tuple[Stretch, Stretch]] = set()
        for first, second in clashes(stretches):
            if (first, second) not in seen:
                seen.add((first, second))
                yield _breach(reading, staff, first, second)


def _busy(reading: Reading) -> dict[str, list[Stretch]]:
    """By person, everything that takes her hands or is her break."""
    busy: dict[str, list[Stretch]] = defaultdict(list)
    for place, planned in enumerate(reading.plan.visits):
        for work, phase in reading.works(planned):
            inside = reading.breaks_inside(planned, work, phase)
            for start, end in without(*span(phase.window), inside):
                busy[phase.performer].append(Stretch(start, end, planned.visit, phase.kind, place))
            for help_ in phase.help:
                helping = f"help with {phase.kind}"
                busy[help_.staff].append(
                    Stretch(*span(help_.window), planned.visit, helping, place)
                )
    for staff, rests in reading.rests.items():
        busy[staff].extend(rest_stretches(rests))
    return busy


def _breach(reading: Reading, staff: str, first: Stretch, second: Stretch) -> Breach:
    start, end = second.start, min(first.end, second.end)
    who, when = reading.person(staff), reading.when(start, end)
    visits = tuple(dict.fromkeys(each.visit for each in (first, second) if each.visit is not None))
    if first.visit is None and second.visit is None:
        detail = f"{who} has two breaks at once, {when}."
        remedy = f"Keep one of them, or start the second at {reading.at(first.end)}."
    elif first.visit is None or second.visit is None:
        task, rest = (second, first) if first.visit is None else (first, second)
        detail = (
            f"{who} works in the {rest.label}: {reading.client(task.visit or '')}'s {task.label}, "
            f"{when}."
        )
        remedy = "Move the break to a free time, or inside a phase that allows one."
    else:
        detail = (
            f"{who} is on {reading.client(first.visit)}'s {first.label} and on "
            f"{reading.client(second.visit)}'s {second.label} at once, {when}."
        )
        remedy = (
            f"Give one of them to somebody else, or start the second at {reading.at(first.end)}."
        )
    return Breach(
        detail=detail,
        remedy=remedy,
        visits=visits,
        staff=(staff,),
        window=reading.window(start, end),
    )


RULE = Rule(
    code="hands-one-client",
    sentence="Nobody works on two heads at once, nor works in a break.",
    parameters=NoParameters,
    check=_check,
    always_hard=True,
)
