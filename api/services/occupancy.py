"""What a visit takes of the salon, stretch by stretch.

The chair is the client's for the whole visit, a basin for its phase. A person is taken while she
works: where she takes her break inside the braiding, `[start, break)` and `[break end, end)` are
hers to work and the break is a stretch of its own.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime

from api.services.ports import Occupied
from schemas.plan import PlannedBreak, PlannedVisit
from schemas.windows import TimeWindow


def occupied_by(visit: PlannedVisit, breaks: Iterable[PlannedBreak]) -> tuple[Occupied, ...]:
    """Every stretch that `visit` takes; `breaks` of other visits and people are of no account."""
    inside: dict[str, list[TimeWindow]] = defaultdict(list)
    for planned in breaks:
        if planned.inside == visit.visit:
            inside[planned.staff].append(planned.window)
    hands: dict[str, list[TimeWindow]] = defaultdict(list)
    rows = [] if visit.chair is None else [Occupied(f"chair:{visit.chair}", visit.window)]
    for phase in visit.phases:
        if phase.basin is not None:
            rows.append(Occupied(f"basin:{phase.basin}", phase.window))
        hands[phase.performer].append(phase.window)
        for help_ in phase.help:
            hands[help_.staff].append(help_.window)
    for person, windows in hands.items():
        for window in joined(windows):
            rows.extend(
                Occupied(f"staff:{person}", part) for part in without(window, inside[person])
            )
    return tuple(rows)


def joined(windows: Iterable[TimeWindow]) -> tuple[TimeWindow, ...]:
    """The same minutes in as few windows as can be: those that touch become one."""
    merged: list[TimeWindow] = []
    for window in sorted(windows, key=lambda window: window.start):
        if merged and window.start <= merged[-1].end:
            end = max(merged[-1].end, window.end)
            merged[-1] = TimeWindow(start=merged[-1].start, end=end)
        else:
            merged.append(window)
    return tuple(merged)


def without(window: TimeWindow, holes: Iterable[TimeWindow]) -> tuple[TimeWindow, ...]:
    """`window` less the holes; nothing where they cover it."""
    parts: list[TimeWindow] = []
    here: datetime = window.start
    for hole in sorted(holes, key=lambda hole: hole.start):
        if hole.end <= here or hole.start >= window.end:
            continue
        if hole.start > here:
            parts.append(TimeWindow(start=here, end=hole.start))
        here = hole.end
    if here < window.end:
        parts.append(TimeWindow(start=here, end=window.end))
    return tuple(parts)
