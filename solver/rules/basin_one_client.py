"""Two wash phases never share a basin at one time, and a phase at the basin names a basin.

The basin is taken for the phase alone; the chair stays the client's meanwhile.
"""

from __future__ import annotations

from collections.abc import Iterator

from schemas.plan import PlannedPhase, PlannedVisit
from schemas.rules import RuleSetting
from schemas.work import PhaseWork, Place
from solver.rules.reading import Reading, span
from solver.rules.rule import Breach, NoParameters, Rule
from solver.rules.stretches import basin_stretches, clashes


def _check(reading: Reading, _: NoParameters, __: RuleSetting) -> Iterator[Breach]:
    for basin, washes in basin_stretches(reading).items():
        for first, second in clashes(washes):
            start, end = second.start, min(first.end, second.end)
            one, other = reading.client(first.visit or ""), reading.client(second.visit or "")
            yield Breach(
                detail=f"{one} and {other} are both at {reading.basin(basin)}, "
                f"{reading.when(start, end)}.",
                remedy=f"Take {other} to the basin at {reading.at(first.end)} or later, "
                "or to another basin.",
                visits=tuple(dict.fromkeys((first.visit or "", second.visit or ""))),
                window=reading.window(start, end),
            )
    for planned in reading.plan.visits:
        for work, phase in reading.works(planned):
            yield from _names_a_basin(reading, planned, work, phase)


def _names_a_basin(
    reading: Reading, planned: PlannedVisit, work: PhaseWork | None, phase: PlannedPhase
) -> Iterator[Breach]:
    start, end = span(phase.window)
    client = reading.client(planned.visit)
    if phase.basin is not None and phase.basin not in reading.basins:
        problem = f"{client}'s {phase.kind} is at {reading.basin(phase.basin)}"
    elif phase.basin is None and work is not None and work.place is Place.BASIN:
        problem = f"{client}'s {phase.kind} needs a basin and names none"
    else:
        return
    yield Breach(
        detail=f"{problem}, {reading.when(start, end)}.",
        remedy="Name one of the salon's basins that is free then.",
        visits=(planned.visit,),
        window=reading.window(start, end),
    )


RULE = Rule(
    code="basin-one-client",
    sentence="Two clients never share a basin at one time, and washing names its basin.",
    parameters=NoParameters,
    check=_check,
    always_hard=True,
)
