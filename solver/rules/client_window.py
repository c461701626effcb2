"""A requested visit lies in a window that suits the client; arrivals and times keep the grid.

Clients arrive on multiples of `grid.arrivals` and everything else falls on multiples of
`grid.minutes`, both counted on the local clock from midnight. A booking may also start exactly when
it was promised, on the arrivals grid or not.
"""

from __future__ import annotations

from collections.abc import Iterator

from schemas.booking import Booking, Request
from schemas.plan import PlannedVisit
from schemas.rules import RuleSetting
from solver.rules.reading import Reading, Span, minute, span
from solver.rules.rule import Breach, NoParameters, Rule


def _check(reading: Reading, _: NoParameters, __: RuleSetting) -> Iterator[Breach]:
    for planned in reading.plan.visits:
        yield from _suits(reading, planned)
        yield from _arrives(reading, planned)
        yield from _on_grid(reading, planned)
    for planned_break in reading.plan.breaks:
        start, end = span(planned_break.window)
        step = reading.day_book.grid.minutes
        if not _grid(reading, (start, end)):
            yield Breach(
                detail=f"{reading.person(planned_break.staff)}'s {planned_break.kind.value} break, "
                f"{reading.when(start, end)}, is off the {step}-minute grid.",
                remedy=f"Move it to a multiple of {step} minutes.",
                staff=(planned_break.staff,),
                window=reading.window(start, end),
            )


def _suits(reading: Reading, planned: PlannedVisit) -> Iterator[Breach]:
    request = reading.visits.get(planned.visit)
    if not isinstance(request, Request):
        return
    start, end = reading.occupied(planned)
    windows = [span(window) for window in request.windows]
    if any(first <= start and end <= last for first, last in windows):
        return
    suits = "; ".join(reading.when(first, last) for first, last in sorted(windows)[:2])
    more = f" and {len(windows) - 2} more" if len(windows) > 2 else ""
    yield Breach(
        detail=f"{reading.client(planned.visit)} is placed {reading.when(start, end)}; what suits "
        f"her is {suits}{more}.",
        remedy="Place the whole visit in one of her windows, or ask her.",
        visits=(planned.visit,),
        window=reading.window(start, end),
    )


def _arrives(reading: Reading, planned: PlannedVisit) -> Iterator[Breach]:
    start, end = span(planned.window)
    visit = reading.visits.get(planned.visit)
    step = reading.day_book.grid.arrivals
    if _minute_of_day(reading, start) % step == 0:
        return
    if isinstance(visit, Booking) and minute(visit.promise.start) == start:
        return
    yield Breach(
        detail=f"{reading.client(planned.visit)} is to arrive at {reading.at(start)}; clients "
        f"arrive every {step} minutes.",
        remedy=f"Start at a multiple of {step} minutes.",
        visits=(planned.visit,),
        window=reading.window(start, end),
    )


def _on_grid(reading: Reading, planned: PlannedVisit) -> Iterator[Breach]:
    spans = [(f"{phase.kind}", span(phase.window)) for phase in planned.phases]
    spans += [
        (f"help with {phase.kind}", span(help_.window))
        for phase in planned.phases
        for help_ in phase.help
    ]
    off = [(label, each) for label, each in spans if not _grid(reading, each)]
    if not off:
        return
    label, (start, end) = off[0]
    others = f" ({len(off) - 1} more of this visit)" if len(off) > 1 else ""
    step = reading.day_book.grid.minutes
    yield Breach(
        detail=f"{reading.client(planned.visit)}'s {label}, {reading.when(start, end)}, is off the "
        f"{step}-minute grid{others}.",
        remedy=f"Move its start and end to multiples of {step} minutes.",
        visits=(planned.visit,),
        window=reading.window(start, end),
    )


def _grid(reading: Reading, times: Span) -> bool:
    step = reading.day_book.grid.minutes
    return all(_minute_of_day(reading, at) % step == 0 for at in times)


def _minute_of_day(reading: Reading, at: int) -> int:
    local = reading.local(at)
    return local.hour * 60 + local.minute


RULE = Rule(
    code="client-window",
    sentence="A requested visit lies in a window that suits the client, and times keep the grid.",
    parameters=NoParameters,
    check=_check,
    always_hard=True,
)
